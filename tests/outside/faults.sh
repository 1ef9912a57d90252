#!/usr/bin/env bash
# Real faults of the system, the long way: a small file system that is full, and 200 kills while a file is
# written. The file is always the old one or the whole new one. Needs leave to mount a tmpfs; fails without.
set -euo pipefail
cd "$(dirname "$0")/../.."
program=${1:-${CARGO_TARGET_DIR:-target}/release/kindfold}
program=$(realpath "$program")
place=$(mktemp -d)
small=$place/small
mkdir "$small"
trap 'umount "$small" 2>/dev/null || true; rm -rf "$place"' EXIT
cd "$place"

wrong() { printf 'faults: %s\n' "$1" >&2; exit 1; }
"$program" demo >whole.txt 2>/dev/null
echo "the old file" >old.txt

echo "a file system of 8 KiB, which is full: the old file stays, the fault is said"
mount -t tmpfs -o size=8k none "$small"
cp old.txt "$small/sheet.txt"
status=0
"$program" demo -o "$small/sheet.txt" 2>said.txt || status=$?
[ "$status" = 3 ] || wrong "the status is $status, not 3"
grep -q "could not be written" said.txt || wrong "the fault was not said: $(cat said.txt)"
cmp -s old.txt "$small/sheet.txt" || wrong "the old file was touched"
[ "$(find "$small" -type f | wc -l)" = 1 ] || wrong "half a file was left beside"
umount "$small"

echo "a file system that is read-only: the old file stays, the fault is said"
mount -t tmpfs -o size=1m none "$small"
cp old.txt "$small/sheet.txt"
mount -o remount,ro "$small"
status=0
"$program" demo -o "$small/sheet.txt" 2>said.txt || status=$?
[ "$status" = 3 ] || wrong "the status is $status, not 3"
cmp -s old.txt "$small/sheet.txt" || wrong "the old file was touched"
umount "$small"

echo "200 kills, spread over the time that one run takes and a little more"
begun=$(date +%s%N)
"$program" demo -o sheet.txt 2>said.txt
took=$((($(date +%s%N) - begun) / 1000))
kept=0 new=0
for round in $(seq 1 200); do
    cp old.txt sheet.txt
    "$program" demo -o sheet.txt 2>said.txt &
    child=$!
    # Half of the kills fall into the last tenth of the run and after it, where the file is written.
    if ((round % 2)); then wait_us=$((took * round / 200)); else wait_us=$((took * 9 / 10 + took * round / 600)); fi
    sleep "$(printf '0.%06d' $((wait_us % 1000000)))"
    kill -KILL "$child" 2>/dev/null || true
    wait "$child" 2>/dev/null || true
    if cmp -s old.txt sheet.txt; then kept=$((kept + 1))
    elif cmp -s whole.txt sheet.txt; then new=$((new + 1))
    else wrong "round $round left $(wc -c <sheet.txt) bytes"; fi
done
"$program" demo -o sheet.txt 2>said.txt || wrong "what killed runs left hinders the next"
cmp -s whole.txt sheet.txt || wrong "the file after the kills is not whole"
echo "200 kills: $kept left the old file, $new the new one, none half a file"

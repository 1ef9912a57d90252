#!/usr/bin/env bash
# Spreadsheets just under 2 MiB that unpack to half a gigabyte and say that they hold 2 kB: refused within
# 2 s and 500 MB of address space, without a word of them.
set -euo pipefail
cd "$(dirname "$0")/../.."
program=$(realpath "${1:-${CARGO_TARGET_DIR:-target}/release/kindfold}")
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
for kind in xlsx ods; do
    python3 tests/outside/bombs.py "$kind" 500 "$place/s.$kind"
    status=0
    (ulimit -v 500000 && cd "$place" && timeout 2 "$program" intake "s.$kind" >out.txt 2>said.txt) || status=$?
    [ "$status" = 2 ] || { echo "bombs: $kind ended with $status" >&2; exit 1; }
    if grep -q quomble "$place/said.txt" "$place/out.txt"; then echo "bombs: $kind shows a word" >&2; exit 1; fi
    echo "$kind, $(wc -c <"$place/s.$kind") bytes: $(head -1 "$place/said.txt")"
done

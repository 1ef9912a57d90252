#!/usr/bin/env bash
# No command opens a socket or starts another program: strace over every command. Fails without strace.
set -euo pipefail
cd "$(dirname "$0")/../.."
command -v strace >/dev/null || { apt-get update -qq && apt-get install -y -qq strace; }
program=$(realpath "${1:-${CARGO_TARGET_DIR:-target}/release/kindfold}")
repo=$PWD
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
cd "$place"
cp "$repo"/data/demo/*.yaml .
cp "$repo"/tests/sign_up/library-chairs.csv signup.csv
mkdir library
"$program" adapt class.yaml --roster roster.yaml --format json -o adapted.json 2>/dev/null

commands=0
traced() {
    status=0
    strace -f -qq -e trace=network,process -e signal=none -o trace.txt "$program" "$@" >/dev/null 2>&1 || status=$?
    [ "$status" -lt 3 ] || { echo "sockets: $* ended with $status" >&2; exit 1; }
    # The start of the program itself is the one execve; threads are no programs.
    if grep -E '\b(socket|socketpair|connect|bind|listen|accept4?|sendto|sendmsg|recvfrom|recvmsg)\(' trace.txt; then
        echo "sockets: $* opens one" >&2; exit 1
    fi
    [ "$(grep -c 'execve(' trace.txt)" = 1 ] || { echo "sockets: $* starts a program" >&2; exit 1; }
    commands=$((commands + 1))
}
for sheet in teacher room cards props cautions record; do
    traced adapt class.yaml --roster roster.yaml --sheet "$sheet"
    traced adapt class.yaml --roster roster.yaml --sheet "$sheet" --format html -o sheet.html
done
traced adapt class.yaml --roster roster.yaml --instance instance.json
traced why class.yaml --roster roster.yaml --step 1
traced vary class.yaml --for chair
traced home class.yaml --roster roster.yaml --student Kwame --minutes 12
traced ahead class.yaml --roster roster.yaml --until 2027-06-30
traced audit adapted.json class.yaml --roster roster.yaml
traced check
traced check class.yaml --roster roster.yaml
traced check --library library
traced postures tree
traced posture tree --format html
traced intake signup.csv
traced new roster -o new.yaml
traced schema class
traced completions bash
traced manual
traced demo
traced adapt missing.yaml
echo "$commands runs: no socket, no other program"

#!/bin/sh
# Compares the planner with HiGHS: `highs.sh [N]` for agreement on N instances (300), `highs.sh speed` for
# the table of times. Fails when HiGHS cannot be had.
set -eu
cd "$(dirname "$0")/../.."
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
python3 -m venv "$place/venv"
"$place/venv/bin/pip" install --quiet highspy numpy
cargo build --release --example solve_instance --example make_instance
built=${CARGO_TARGET_DIR:-target}/release/examples
if [ "${1:-agree}" = speed ]; then
    "$place/venv/bin/python" tests/outside/highs.py speed "$built/solve_instance" "$built/make_instance"
else
    "$place/venv/bin/python" tests/outside/highs.py agree "${1:-300}" "$built/solve_instance" "$built/make_instance"
fi

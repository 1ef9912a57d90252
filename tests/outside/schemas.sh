#!/bin/sh
# Reads the published schemas, the good files and the wrong ones with an independent validator, which
# is fetched from PyPI. Fails when it cannot be had.
set -eu
cd "$(dirname "$0")/../.."
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
python3 -m venv "$place/venv"
"$place/venv/bin/pip" install --quiet jsonschema pyyaml
cargo build --release --locked
"$place/venv/bin/python" tests/outside/schemas.py "${CARGO_TARGET_DIR:-target}/release/kindfold"

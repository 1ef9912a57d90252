#!/bin/sh
# Reads every home sheet of the two cases with an independent implementation of the reading grade
# (textstat, from PyPI) and fails when one is above grade 5 (OC-99). Stop signs and quoted words apart.
set -eu
cd "$(dirname "$0")/../.."
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
python3 -m venv "$place/venv"
# The version that counts syllables by hyphenation patterns alone: later ones fetch a dictionary.
"$place/venv/bin/pip" install --quiet 'textstat==0.7.3' 'setuptools<81'
cargo build --release --locked
"$place/venv/bin/python" -W ignore tests/outside/reading.py "${CARGO_TARGET_DIR:-target}/release/kindfold"

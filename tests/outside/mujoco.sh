#!/bin/sh
# Compares every body with MuJoCo, which is fetched from PyPI: `mujoco.sh` checks against the kept table,
# `mujoco.sh --write` writes it anew. Fails when MuJoCo cannot be had.
set -eu
cd "$(dirname "$0")/../.."
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
python3 -m venv "$place/venv"
"$place/venv/bin/pip" install --quiet mujoco numpy scipy pyyaml
cargo build --release --locked
built=${CARGO_TARGET_DIR:-target}/release/kindfold
"$place/venv/bin/python" tests/outside/bodies.py "$built" tests/outside/mujoco-table.txt "$@"

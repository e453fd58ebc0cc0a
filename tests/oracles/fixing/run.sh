#!/usr/bin/env bash
# 1,000 random sites against an independent library, to 1e-9. Takes the built program as an argument, or builds it.
set -euo pipefail
cd "$(dirname "$0")/../../.."
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

program=${1:-}
if [ -z "$program" ]; then
    cargo build --release --locked --quiet -p tests --example wind_oracle
    program=${CARGO_TARGET_DIR:-target}/release/examples/wind_oracle
fi

# The wind module is pure mathematics: it is unpacked and loaded alone, whatever Python the rest of the library asks for.
python3 -m venv "$scratch/venv"
"$scratch/venv/bin/pip" download --quiet --disable-pip-version-check --no-deps --ignore-requires-python \
    --dest "$scratch/wheel" eurocodepy==2027.0.12
"$scratch/venv/bin/python" -m zipfile -e "$scratch"/wheel/*.whl "$scratch/library"
"$scratch/venv/bin/python" tests/oracles/fixing/wind_oracle.py "$program" "$scratch/library/eurocodepy"

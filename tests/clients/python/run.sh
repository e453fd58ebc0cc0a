#!/bin/sh
# Talks to the server over a real socket with Python's grpcio.
#
#   tests/clients/python/run.sh            everything, against a server that is started here on a free port
#   tests/clients/python/run.sh estimate   health and one estimate, against ETICS_TEST_SERVER
#
# ETICS_SERVER_BIN and ETICS_BIN name the programs; by default they are compiled in release mode.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../../.." && pwd)
venv=${ETICS_TEST_VENV:-${TMPDIR:-/tmp}/etics-python-$(cksum <"$here/requirements.txt" | cut -d' ' -f1)}
if [ ! -f "$venv/ready" ]; then
    python3 -m venv "$venv"
    "$venv/bin/pip" install -q --disable-pip-version-check -r "$here/requirements.txt"
    touch "$venv/ready"
fi
stubs=$(mktemp -d "${TMPDIR:-/tmp}/etics-stubs.XXXXXX")
trap 'rm -rf "$stubs"' EXIT INT TERM
(cd "$root/proto" && "$venv/bin/python" -m grpc_tools.protoc -I . --python_out="$stubs" --grpc_python_out="$stubs" etics/v1/*.proto)
if [ -z "${ETICS_TEST_SERVER:-}" ] && [ -z "${ETICS_SERVER_BIN:-}" ]; then
    (cd "$root" && cargo build --release --locked -p server -p client)
    ETICS_SERVER_BIN=${CARGO_TARGET_DIR:-$root/target}/release/etics-server
    ETICS_BIN=${CARGO_TARGET_DIR:-$root/target}/release/etics
    export ETICS_SERVER_BIN ETICS_BIN
fi
PYTHONPATH="$stubs:$here" ETICS_ROOT="$root" "$venv/bin/python" "$here/check.py" "$@"

#!/bin/sh
# Builds the image with Debian's docker.io engine and runs it: static, non-root, from scratch; it must answer its health check and an
# estimate, and stop in time. The engine is one of its own, on a socket and a folder of its own, and is taken down again.
#
#   deploy/test-image.sh            the binary is compiled on this machine and put into the image
#   deploy/test-image.sh --compile  the stage that compiles is tested too, in an image made with debootstrap (slow)
set -eu
cd "$(dirname "$0")/.."
PORT=${ETICS_TEST_PORT:-7841}
WORK=$(mktemp -d /tmp/etics-image.XXXXXX)
SOCKET="unix://$WORK/docker.sock"
ENGINE='' CONTAINER=''

tidy_up() {
    status=$?
    if [ -n "$CONTAINER" ]; then docker -H "$SOCKET" rm -f "$CONTAINER" >/dev/null 2>&1 || true; fi
    if [ -n "$ENGINE" ]; then
        kill "$ENGINE" 2>/dev/null || true
        wait "$ENGINE" 2>/dev/null || true
    fi
    if [ $status -ne 0 ] && [ -f "$WORK/engine.log" ]; then tail -20 "$WORK/engine.log"; fi
    # Layers are mounted while the engine runs; what is left of them is let go of before the folder goes.
    grep -o " $WORK[^ ]*" /proc/mounts | sort -r | while read -r mount; do umount "$mount" 2>/dev/null || true; done
    rm -rf "$WORK" 2>/dev/null || true
    exit $status
}
trap tidy_up EXIT INT TERM

if ! command -v dockerd >/dev/null || ! command -v docker >/dev/null; then
    apt-get update -qq
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends docker.io >/dev/null
fi

dockerd --data-root "$WORK/data" --exec-root "$WORK/exec" --pidfile "$WORK/docker.pid" \
    --iptables=false --ip6tables=false --bridge=none -H "$SOCKET" >"$WORK/engine.log" 2>&1 &
ENGINE=$!
tries=0
until docker -H "$SOCKET" version >/dev/null 2>&1; do
    tries=$((tries + 1))
    [ $tries -lt 60 ] || { echo "the engine does not come up"; exit 1; }
    sleep 0.5
done

TARGET=x86_64-unknown-linux-gnu
if [ "${1:-}" = --compile ]; then
    command -v debootstrap >/dev/null || apt-get install -y -qq debootstrap >/dev/null
    debootstrap --variant=minbase --include=gcc,libc6-dev,ca-certificates bookworm "$WORK/base" >"$WORK/debootstrap.log" 2>&1
    cp -r "$(rustc --print sysroot)/." "$WORK/base/usr/local/"
else
    RUSTFLAGS='-C target-feature=+crt-static' cargo build --release --locked -p server -p client --target $TARGET
    command -v busybox >/dev/null || apt-get install -y -qq busybox-static >/dev/null
    mkdir -p "$WORK/base/bin" "$WORK/base/out"
    cp "$(command -v busybox)" "$WORK/base/bin/busybox"
    for tool in sh mkdir; do ln -s busybox "$WORK/base/bin/$tool"; done
    cp "${CARGO_TARGET_DIR:-target}/$TARGET/release/etics-server" "${CARGO_TARGET_DIR:-target}/$TARGET/release/etics" "$WORK/base/out/"
fi
tar -C "$WORK/base" -c . | docker -H "$SOCKET" import - etics-build:test >/dev/null
# The engine's own builder: Debian's package brings no other.
DOCKER_BUILDKIT=0 docker -H "$SOCKET" build --network host --build-arg BUILD_IMAGE=etics-build:test -f deploy/Dockerfile -t etics-server:test . \
    >"$WORK/build.log" 2>&1 || { tail -30 "$WORK/build.log"; exit 1; }

size=$(docker -H "$SOCKET" image inspect -f '{{.Size}}' etics-server:test)
user=$(docker -H "$SOCKET" image inspect -f '{{.Config.User}}' etics-server:test)
[ "$user" = 65532:65532 ] || { echo "the image runs as $user"; exit 1; }
echo "image: $size bytes, user $user"

CONTAINER=$(docker -H "$SOCKET" run -d --network host --read-only --cap-drop ALL --security-opt no-new-privileges \
    --tmpfs /cache:uid=65532,gid=65532,mode=700 -e ETICS_SERVER_LISTEN="127.0.0.1:$PORT" -e ETICS_DRAIN_DELAY_MS=200 \
    etics-server:test)
tries=0
until docker -H "$SOCKET" exec "$CONTAINER" /etics-server healthcheck 2>/dev/null; do
    tries=$((tries + 1))
    [ $tries -lt 40 ] || { docker -H "$SOCKET" logs "$CONTAINER"; echo "the container is not healthy"; exit 1; }
    sleep 0.5
done
echo "health: the probe of the image says that it serves"

ETICS_TEST_SERVER="127.0.0.1:$PORT" tests/clients/python/run.sh estimate
docker -H "$SOCKET" exec "$CONTAINER" /etics --version >/dev/null

docker -H "$SOCKET" stop -t 10 "$CONTAINER" >/dev/null
code=$(docker -H "$SOCKET" inspect -f '{{.State.ExitCode}}' "$CONTAINER")
[ "$code" = 0 ] || { docker -H "$SOCKET" logs "$CONTAINER" | tail -5; echo "the container ended with $code"; exit 1; }
echo "stopped in time, exit code 0"

#!/usr/bin/env bash
# Runs every test: embedded database, PostgreSQL (started here, on a port and in a folder of its own), browser, checks
# against the world outside. With --slow the long counts too.
. "$(dirname "$0")/needs.sh"

for word in "$@"; do
  case "$word" in
    --slow) export MOULDBOARD_TEST_SLOW=1 ;;
    *) say "test.sh knows --slow only, not '$word'"; exit 2 ;;
  esac
done

need_to_build
need_packages postgresql chromium chromium-driver fonts-dejavu-core poppler-utils python3 python3-venv
# It may have come with a Node.js of its own, which Debian's would be at odds with.
command -v npm >/dev/null || need_packages npm
# A spreadsheet program is a large install: the long run alone holds the feeds against one.
[ -z "${MOULDBOARD_TEST_SLOW:-}" ] || need_packages libreoffice-calc-nogui
export MOULDBOARD_TEST_BROWSER=chromedriver

# The rules of accessibility as a program, kept under the build folder; without it that test says that it did not run.
axe=$(realpath -m "${CARGO_TARGET_DIR:-target}/axe")
if [ ! -f "$axe/package/axe.min.js" ]; then
  mkdir -p "$axe"
  (cd "$axe" && npm pack --silent axe-core@4.11.1 >/dev/null && tar xzf axe-core-4.11.1.tgz package/axe.min.js) || rm -rf "$axe"
fi
[ ! -f "$axe/package/axe.min.js" ] || export MOULDBOARD_TEST_AXE=$axe/package/axe.min.js

# --- PostgreSQL, for this run only -------------------------------------------------------------------------------------
postgres_bin=$(find /usr/lib/postgresql -maxdepth 2 -name bin | sort -V | tail -n 1)
place=$(mktemp -d)
as_postgres() { if [ "$(id -u)" = 0 ]; then su postgres -s /bin/sh -c "$*"; else sh -c "$*"; fi; }
stop_postgres() {
  as_postgres "'$postgres_bin/pg_ctl' -D '$place/data' -m immediate -s stop" >/dev/null 2>&1 || true
  rm -rf "$place"
}
trap stop_postgres EXIT
[ "$(id -u)" != 0 ] || chown postgres "$place"
port=$(python3 -c 'import socket; s = socket.socket(); s.bind(("127.0.0.1", 0)); print(s.getsockname()[1])')
as_postgres "'$postgres_bin/initdb' -D '$place/data' -U mouldboard -A trust -E UTF8 --locale=C" >/dev/null
as_postgres "'$postgres_bin/pg_ctl' -D '$place/data' -l '$place/log' -w -s \
  -o '-p $port -k $place -c listen_addresses=127.0.0.1 -c fsync=off -c max_connections=300' start" >/dev/null
export MOULDBOARD_TEST_POSTGRES="postgres://mouldboard@127.0.0.1:$port/postgres"

# --- The tests ---------------------------------------------------------------------------------------------------------
cargo fmt --check
cargo clippy --quiet --locked --workspace --all-targets -- -D warnings
if cargo nextest --version >/dev/null 2>&1; then
  cargo nextest run --locked --workspace --no-fail-fast
else
  cargo test --locked --workspace --no-fail-fast
fi

# --- Against the world outside -----------------------------------------------------------------------------------------
cargo build --quiet --locked --workspace --bins --examples
tests/outside/run.sh

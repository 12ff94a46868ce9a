#!/usr/bin/env bash
# Shows Mouldboard on an invented workshop: installs what is missing, builds, plans a month of pours, issues today's tickets
# and serves on 127.0.0.1:8080. With --once it prints the plan, the tickets and the cement projection instead, and ends.
. "$(dirname "$0")/needs.sh"

need_to_build
say "Building (the first time takes some minutes: the solver is built from its source)"
cargo build --quiet --locked -p mouldboard
exec "${CARGO_TARGET_DIR:-target}/debug/mouldboard" demo "$@"

#!/usr/bin/env bash
# Holds what was built against the world outside, by Python packages from the registry. deploy/test.sh runs it after the
# build; with CI set, what cannot run is a failure.
set -euo pipefail
cd "$(dirname "$0")/../.."
target=${CARGO_TARGET_DIR:-target}
venv=$target/outside-venv
export PYTHONDONTWRITEBYTECODE=1

# Installs the packages once for each set of them.
installed() {
  cmp -s tests/outside/requirements.txt "$venv/installed" && return 0
  rm -rf "$venv"
  python3 -m venv "$venv" && "$venv/bin/pip" install --quiet --disable-pip-version-check -r tests/outside/requirements.txt &&
    cp tests/outside/requirements.txt "$venv/installed"
}

if ! installed; then
  echo "The checks against the world outside: not run, their Python packages cannot be installed."
  [ -z "${CI:-}" ] || exit 1
  exit 0
fi

"$venv/bin/python" tests/outside/mix/check.py "$target/debug/examples/ask_mix"
"$venv/bin/python" tests/outside/feeds/check.py "$target/debug/examples/write_feeds" "$target/outside-feeds"
[ -z "${MOULDBOARD_TEST_SLOW:-}" ] || "$venv/bin/python" tests/outside/feeds/spreadsheet.py "$target/outside-feeds"
"$venv/bin/python" tests/outside/feeds/readme.py "$target/debug/mouldboard" README.md
"$venv/bin/python" tests/outside/contract/client.py "$target/debug/mouldboard" openapi/mouldboard.yaml "$target/outside-client"
"$venv/bin/python" tests/outside/contract/fuzz.py "$target/debug/mouldboard" "$([ -n "${MOULDBOARD_TEST_SLOW:-}" ] && echo 20000 || echo 2000)"
"$venv/bin/python" tests/outside/cpsat/compare.py "$target/debug/mouldboard"

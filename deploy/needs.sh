# What the scripts need on a machine: read by demo.sh and test.sh, not run by itself.

set -euo pipefail
here=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
cd "$here"

say() { printf '%s\n' "$*" >&2; }

# Runs a command as the machine's administrator.
as_root() {
  if [ "$(id -u)" = 0 ]; then "$@"; elif command -v sudo >/dev/null; then sudo -n "$@"; else
    say "This needs an administrator: run it as root or install sudo. The command was: $*"
    exit 1
  fi
}

# Installs the named Debian packages that are missing, and says which.
need_packages() {
  local missing=()
  for package in "$@"; do
    dpkg-query -W -f='${Status}' "$package" 2>/dev/null | grep -q 'install ok installed' || missing+=("$package")
  done
  [ ${#missing[@]} -gt 0 ] || return 0
  if ! command -v apt-get >/dev/null; then
    say "These are missing, and apt-get is not here to install them: ${missing[*]}. Install them by this system's own means and try again."
    exit 1
  fi
  say "Installing: ${missing[*]}"
  as_root apt-get update -qq
  as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
}

# The build needs Rust of this age, and Debian's is too old.
need_rust() {
  local wanted=1.95 have
  [ -f "$HOME/.cargo/env" ] && . "$HOME/.cargo/env"
  have=$(cargo --version 2>/dev/null | sed -n 's/^cargo \([0-9]*\.[0-9]*\).*/\1/p') || have=
  if [ -n "$have" ] && [ "$(printf '%s\n%s\n' "$wanted" "$have" | sort -V | head -n 1)" = "$wanted" ]; then return 0; fi
  if command -v rustup >/dev/null; then
    say "Installing: Rust $wanted or newer, by rustup (found ${have:-none})"
    rustup -q toolchain install stable --profile minimal && rustup -q default stable && return 0
  fi
  if command -v apt-get >/dev/null && apt-cache show rustup >/dev/null 2>&1; then
    need_packages rustup && rustup -q toolchain install stable --profile minimal && rustup -q default stable && return 0
  fi
  say "Rust $wanted or newer is needed, found ${have:-none}. Get it with rustup (see rust-lang.org, 'Install Rust'), then try again."
  exit 1
}

# What building takes: a C++ compiler and cmake for the solver, libclang for its bindings.
need_to_build() {
  need_packages cmake libclang-dev g++ make pkg-config
  need_rust
}

#!/usr/bin/env bash
# Make sure that a system package is there. Usage: tools/ensure_system.sh venv|chromium
#
# On Debian and its relatives, and as root, a missing package is installed. Elsewhere it is
# named. "venv" is needed, so its absence is an error; without "chromium" the browser tests
# are skipped and counted, so its absence is only said.
set -euo pipefail

python=${PYTHON:-python3}

say() { printf '%s\n' "$*" >&2; }

can_install() { [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; }

install_package() { # install_package NAME
    say "Installing the system package $1 ..."
    DEBIAN_FRONTEND=noninteractive apt-get update -qq >&2 &&
        DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$1" >/dev/null
}

has_python() { "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; }

has_venv() { "$python" -c 'import ensurepip, venv' 2>/dev/null; }

has_chromium() { command -v chromium >/dev/null || command -v chromium-browser >/dev/null; }

need_venv() {
    if ! has_python; then
        say "Python 3.11 or newer is needed, and '$python' is not that."
        say "Install it, or name another one: make setup PYTHON=python3.12"
        exit 1
    fi
    has_venv && return
    if can_install && install_package python3-venv && has_venv; then return; fi
    say "This Python has no venv module. Install the package that brings it (Debian: python3-venv),"
    say "then run the same command again."
    exit 1
}

want_chromium() {
    has_chromium && return
    if can_install && install_package chromium && has_chromium; then return; fi
    say "Chromium is not installed (Debian's package: chromium). The browser tests will be skipped."
}

case "${1:-}" in
venv) need_venv ;;
chromium) want_chromium ;;
*)
    say "Usage: tools/ensure_system.sh venv|chromium"
    exit 2
    ;;
esac

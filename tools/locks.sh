#!/usr/bin/env bash
# Compile the two locks. The environment is emptied of installer settings first, so that
# the hashes are those of the public registry and not of files that lie on this machine.
set -euo pipefail
cd "$(dirname "$0")/.."

uv=${UV_PROGRAM:-.venv/bin/uv}
for name in $(compgen -e | grep -E '^(PIP|UV)_' || true); do
    unset "$name"
done

compile() { # compile LOCK ARGUMENT...
    local lock=$1
    shift
    "$uv" pip compile --no-config --quiet --universal --generate-hashes --python-version 3.11 \
        --no-emit-index-url --no-emit-find-links --no-annotate \
        --custom-compile-command "make locks" "$@" pyproject.toml --output-file "$lock"
}

compile requirements/run.lock --group build
compile requirements/dev.lock --group build --group dev --constraint requirements/run.lock

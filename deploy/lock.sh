#!/usr/bin/env bash
# Refreshes the two lock files from pyproject.toml: every package pinned and hashed, for every platform.
set -euo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/environment.sh"
cd "$root"
base=$(find_python)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"$base" -m venv "$work/env"
"$work/env/bin/pip" install --quiet uv
compile() {
    "$work/env/bin/uv" pip compile pyproject.toml --universal --python-version 3.11 --generate-hashes --no-header \
        --no-annotate --no-emit-index-url --quiet --upgrade "$@"
}
compile --output-file deploy/run.lock
compile --group check --output-file deploy/check.lock

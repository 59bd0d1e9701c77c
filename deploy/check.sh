#!/usr/bin/env bash
# Runs every check of the project: format, lint, types, import contracts, tests with coverage.
set -uo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/environment.sh"
environment check check.lock
cd "$root" || exit 1
bin="$root/.venv-check/bin"
failed=""

step() {
    local name=$1 start=$SECONDS
    shift
    printf -- '-- %s\n' "$name"
    "$@" || failed="$failed $name"
    printf -- '   %s: %d s\n' "$name" $((SECONDS - start))
}

step format "$bin/ruff" format --check .
step lint "$bin/ruff" check .
step types "$bin/mypy"
step contracts "$bin/lint-imports" --no-logo
step tests "$bin/pytest" -q -n 2 --dist loadfile --cov --cov-report=term:skip-covered "$@"
if ! command -v chromium >/dev/null && ! command -v chromium-browser >/dev/null; then
    printf -- '-- skipped: the page of figures was not opened in a browser, since there is no chromium here\n'
fi
if [ -n "$failed" ]; then
    printf 'platewright: these checks failed:%s\n' "$failed"
    exit 1
fi
printf 'platewright: every check passed\n'

#!/usr/bin/env bash
# Runs the main job on an embedded database: a prompt, or with --demo (or no terminal) a short invented conversation.
set -euo pipefail
. "$(dirname "${BASH_SOURCE[0]}")/environment.sh"
environment try run.lock
# Cases tried out here stay in this folder; set PLATEWRIGHT_DATABASE to keep them elsewhere.
export PLATEWRIGHT_DATABASE="${PLATEWRIGHT_DATABASE:-$root/.cache/try/cases.db}"
export PYTHONPATH="$root${PYTHONPATH:+:$PYTHONPATH}"
case "${1:-}" in
    chat | triage | read | coupons | serve | --help) exec "$python" -P -m bot "$@" ;;
esac
if [ "${1:-}" = "--demo" ] || [ ! -t 0 ] || [ ! -t 1 ]; then
    [ "${1:-}" != "--demo" ] || shift
    exec "$python" -P -m bot chat --demo "$@"
fi
exec "$python" -P -m bot chat "$@"

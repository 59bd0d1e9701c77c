# Sourced by try.sh and check.sh: finds Python, builds one environment from a lock file, leaves the system alone.
# Gives: $root, and `environment NAME LOCK` which sets $python.

root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)

# Small matrices on several threads only wait for each other.
export OPENBLAS_NUM_THREADS=${OPENBLAS_NUM_THREADS:-1}

# Compiled modules make the second start quick, whatever the caller prefers for other programs.
unset PYTHONDONTWRITEBYTECODE

say() { printf 'platewright: %s\n' "$*" >&2; }

find_python() {
    local name found=""
    for name in ${PLATEWRIGHT_PYTHON:-} python3.14 python3.13 python3.12 python3.11 python3 python; do
        command -v "$name" >/dev/null 2>&1 || continue
        if "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            command -v "$name"
            return 0
        fi
        [ -n "$found" ] || found="$("$name" --version 2>&1) at $(command -v "$name")"
    done
    say "Python 3.11 or newer is needed${found:+; found only $found}."
    say "Install it with your system's packages (Debian 12 or newer: apt install python3 python3-venv), then run this again."
    return 1
}

environment() {
    local folder="$root/.venv-$1" lock="$root/deploy/$2" base stamp
    python="$folder/bin/python"
    stamp=$(cksum <"$lock")
    if [ -x "$python" ] && [ "$(cat "$folder/built-from" 2>/dev/null)" = "$stamp" ]; then
        return 0
    fi
    base=$(find_python) || exit 1
    if ! "$base" -c 'import venv, ensurepip' 2>/dev/null; then
        say "$base has no venv module, which builds the environment."
        say "Install it (Debian: apt install python3-venv), then run this again."
        exit 1
    fi
    say "building an environment in ${folder#"$root"/} (once; a minute or two) ..."
    rm -rf "$folder"
    "$base" -m venv "$folder" || { say "the environment could not be made in $folder: is the folder writable, the disk full?"; exit 1; }
    if ! "$python" -m pip install --quiet --disable-pip-version-check --no-deps --require-hashes --requirement "$lock" 2>"$folder/pip.log"; then
        grep -v '^WARNING' "$folder/pip.log" | tail -n 15 >&2
        say "the packages could not be installed; the lines above say why. Nothing outside $folder was touched."
        exit 1
    fi
    printf '%s\n' "$stamp" >"$folder/built-from"
}

#!/usr/bin/env bash
# Builds .venv with run-time and test packages from requirements.lock, hashes required. Run again, it does nothing.
set -euo pipefail
cd "$(dirname "$0")/.."
stamp=.venv/.tersum-setup
want=$(cat requirements.lock pyproject.toml tools/setup.sh | sha256sum | cut -d' ' -f1)
[ -f "$stamp" ] && [ "$(cat "$stamp")" = "$want" ] && exit 0

python=${PYTHON:-python3}
"$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null || {
    echo "Tersum needs Python 3.11 or newer; '$python' is not. Set PYTHON=/path/to/python3." >&2; exit 2; }
echo "setting up .venv (first run only) ..." >&2
if ! "$python" -m venv --clear .venv >/dev/null 2>&1; then
    # Debian keeps venv's own pip in a package of its own.
    if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
        apt-get update -qq >&2 && apt-get install -y -qq python3-venv >&2
        "$python" -m venv --clear .venv
    else
        echo "Python's venv module is missing: install the package python3-venv, then run make again." >&2; exit 2
    fi
fi
# uv is in the lock too: its own hash is required before it may install anything.
awk '/^[a-z]/ { on = /^uv==/ } on' requirements.lock > .venv/bootstrap.txt
.venv/bin/python -m pip install -q --disable-pip-version-check --require-hashes -r .venv/bootstrap.txt
.venv/bin/uv pip sync -q --require-hashes --compile-bytecode --python .venv/bin/python requirements.lock
# No build isolation: the build backend is already here, from the lock, so nothing unlocked is fetched.
.venv/bin/uv pip install -q --no-deps --no-build-isolation --python .venv/bin/python -e .
echo "$want" > "$stamp"

#!/bin/sh
# Make the virtual environment on a machine that may have nothing but Python and make.
set -eu
python=$1 venv=$2

"$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || {
    echo "couchside needs Python 3.11 or newer; $python is $("$python" -V 2>&1)." \
         "Name another with: make PYTHON=python3.12" >&2
    exit 1
}

as_root() { if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi; }

if ! "$python" -c 'import ensurepip, venv' 2>/dev/null; then
    echo "installing python3-venv, which this Python lacks"
    as_root apt-get update -qq
    as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq python3-venv >/dev/null
fi
"$python" -m venv "$venv"
"$venv/bin/pip" install --quiet --disable-pip-version-check 'uv>=0.5'

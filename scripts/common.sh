# Shared by scripts/demo, scripts/test and scripts/check: a virtual environment in .venv with buckle in it.
# Sourced, with the working directory at the root of the repository.

python_311() {
    for name in "${PYTHON:-}" python3 python3.14 python3.13 python3.12 python3.11 python; do
        if [ -n "$name" ] && "$name" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then
            echo "$name"
            return
        fi
    done
    echo "Python 3.11 or newer is needed; set PYTHON to one" >&2
    return 1
}

# install EXTRA: make .venv once and install buckle with an extra ('' for none); does nothing when nothing changed.
install() {
    wanted="$1 $(cat pyproject.toml constraints.txt | cksum)"
    if [ ! -x .venv/bin/python ]; then
        python=$(python_311) || return 1
        "$python" -m venv .venv || {
            echo "could not make .venv; on Debian: apt-get install python3-venv" >&2
            return 1
        }
    fi
    if [ "$(cat ".venv/installed$1" 2>/dev/null)" != "$wanted" ]; then
        .venv/bin/python -m pip install --quiet --disable-pip-version-check --constraint constraints.txt \
            --editable ".${1:+[$1]}" || return 1
        echo "$wanted" >".venv/installed$1"
    fi
}

unset PYTHONDONTWRITEBYTECODE # tests and demonstration start some eighty processes: each would compile every module anew

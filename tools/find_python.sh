#!/bin/sh
# Print the first Python that is 3.11 or newer, runs, and can make a virtual environment.
# Candidates are the arguments, or the tested versions from new to old and then python3.

[ "$#" -gt 0 ] || set -- python3.13 python3.12 python3.11 python3

for candidate in "$@"; do
    if "$candidate" -c 'import ensurepip, sys, venv; sys.exit(sys.version_info < (3, 11))' \
        >/dev/null 2>&1; then
        echo "$candidate"
        exit 0
    fi
done

echo "Rimwise needs Python 3.11 or newer with venv and pip; none of these is: $*." >&2
echo "Install one (on Debian and Ubuntu also the package python3-venv)," \
    "or name yours: make PYTHON=/path/to/python3" >&2
exit 1

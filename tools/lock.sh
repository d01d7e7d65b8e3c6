#!/bin/sh
# Resolve the requirement files from pyproject.toml, for every platform and Python from 3.11 on,
# with hashes and without the address of any package index. Give --upgrade to move to new versions.
set -eu

cd "$(dirname "$0")/.."

resolve() {
    name=$1
    shift
    "${UV:-uv}" pip compile pyproject.toml --quiet --universal --python-version 3.11 \
        --generate-hashes --no-header --no-annotate --no-emit-index-url --no-emit-find-links \
        --extra web --output-file "requirements/$name.txt" "$@"
}

resolve run --group build "$@"
resolve dev --group dev --extra print --constraints requirements/run.txt "$@"
resolve safety --group safety --constraints requirements/dev.txt "$@"

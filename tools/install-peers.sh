#!/bin/sh
# Install the Debian packages that the tests talk to as real peers; quick when they are there.
set -eu
missing=
for pair in chromium:chromium dcmdump:dcmtk dciodvfy:dicom3tools save2gdf:biosig-tools \
            pdftotext:poppler-utils pg_config:postgresql tsc:node-typescript; do
    command=${pair%%:*} package=${pair##*:}
    case $package in
        postgresql) ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || missing="$missing $package" ;;
        *) command -v "$command" >/dev/null 2>&1 || missing="$missing $package" ;;
    esac
done
# The browser driver that comes with Playwright's wheel is linked against this library.
ls /usr/lib/*/libatomic.so.1 >/dev/null 2>&1 || missing="$missing libatomic1"
[ -n "$missing" ] || exit 0

command -v apt-get >/dev/null 2>&1 || {
    echo "these are missing and this machine has no apt-get:$missing" >&2
    exit 1
}
as_root() { if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi; }
echo "installing from Debian:$missing"
as_root apt-get update -qq
# shellcheck disable=SC2086
as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing >/dev/null

#!/usr/bin/env bash
# Installs what only the tests need from Debian: a PDF reader to read records back, a browser to open pages.
set -euo pipefail
declare -A package=([pdftotext]=poppler-utils [pdfsig]=poppler-utils [pdftoppm]=poppler-utils [chromium]=chromium)
missing=()
for command in "${!package[@]}"; do
    command -v "$command" >/dev/null || missing+=("${package[$command]}")
done
[ ${#missing[@]} -eq 0 ] && exit 0
mapfile -t missing < <(printf '%s\n' "${missing[@]}" | sort -u)
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
    echo "installing for the tests: ${missing[*]} ..." >&2
    apt-get update -qq >&2
    DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
else
    echo "The tests need: ${missing[*]}. Install them (as root: apt-get install ${missing[*]}), then run make test." >&2
    exit 2
fi

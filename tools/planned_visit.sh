#!/usr/bin/env bash
# Prints the visit file of an example as it is before the visit: under another name, with nothing carried out and no seed.
# Usage: tools/planned_visit.sh EXAMPLE NAME
set -euo pipefail
cd "$(dirname "$0")/.."
sed -e "s/^visit = .*/visit = \"$2\"/" -e '/^# A seed stands here/,/^# by its commitment/d' -e '/^seed_hex/d' \
    -e '/^\[\[carried_out\]\]/,$d' -e '/^\[ending\]/,$d' "examples/$1/visit.toml"

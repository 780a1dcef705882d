#!/usr/bin/env bash
# Carries the four invented visits from plan to decision, plans a fifth, and says where everything lies.
set -euo pipefail
cd "$(dirname "$0")/.."
tersum=.venv/bin/tersum
out=out
for name in minibus-1 minibus-2 minibus-3 day-room; do
    echo
    echo "=== $name (invented) ==="
    "$tersum" visit plan "examples/$name/visit.toml" --out "$out/$name"
    echo
    status=0
    "$tersum" visit run "examples/$name/visit.toml" --readings "examples/$name/readings.csv" --out "$out/$name" || status=$?
    # 1 is an answer, not a fault: points are open.
    [ "$status" -le 1 ] || exit "$status"
done
echo
echo "=== minibus-1-next (invented), planned and not begun: for the pages ==="
mkdir -p "$out/minibus-1-next"
tools/planned_visit.sh minibus-1 minibus-1-next > "$out/minibus-1-next/visit.toml"
"$tersum" visit plan "$out/minibus-1-next/visit.toml" --out "$out/minibus-1-next"
echo
"$tersum" ledger check
echo
"$tersum" doctor || true
echo
echo "Written into $out/: plan, mixing card, decisions and signed visit record of each visit."
echo "The facts lie in $(.venv/bin/python -c 'from tersum.records.home import data_home; print(data_home())')."
[ "${SERVE:-1}" = 0 ] && exit 0
echo "The visit minibus-1-next is planned and not begun: open it on the pages and tap through it."
echo "The pages: http://127.0.0.1:${PORT:-8000}/ (stop with Ctrl-C; make run SERVE=0 stops before this)"
exec "$tersum" serve --port "${PORT:-8000}"

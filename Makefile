# The words of daily work; the same at a desk and in CI.
.PHONY: setup run test lint bench soak lock

setup:
	@bash tools/setup.sh

run: setup
	@bash tools/demo.sh

lint: setup
	.venv/bin/ruff check .
	.venv/bin/mypy

test: lint
	@bash tools/system_packages.sh
	.venv/bin/pytest -n 2

bench: setup
	.venv/bin/python benchmarks/run.py

soak: setup
	.venv/bin/python tools/soak.py

lock: setup
	.venv/bin/uv pip compile -q --universal --no-header --generate-hashes --python-version 3.11 \
	    --group dev pyproject.toml -o requirements.lock
	@! grep -nE 'https?://' requirements.lock

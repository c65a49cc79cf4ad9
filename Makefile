# Needs make and Python 3.11 or newer. Everything is installed into .venv, from the locks.

PYTHON ?= python3
DEPTH ?= commit

PY := .venv/bin/python
PIP := $(PY) -m pip install -qq --no-input --disable-pip-version-check
LOCK := uv pip compile --quiet --universal --python-version 3.11 --fork-strategy fewest --generate-hashes \
	--no-emit-index-url --no-header --no-annotate $(if $(UPGRADE),--upgrade) pyproject.toml

.DEFAULT_GOAL := help
.PHONY: help demo serve test check bench soak lock clean

help:
	@echo "make demo    make the demo shop and print its book, into demo/"
	@echo "make serve   show the demo shop as pages on this machine"
	@echo "make test    run the tests"
	@echo "make check   style, types, import rules, links of the docs"
	@echo "make bench   time whole processes, and the mechanics against general tools"
	@echo "make soak    search longer: DEPTH=commit, nightly or release"
	@echo "make lock    remake the locks from pyproject.toml; UPGRADE=1 takes newer releases"
	@echo "make clean   remove .venv, demo and caches"

demo: .venv/run
	@.venv/bin/culmwright demo demo

serve: demo
	@.venv/bin/culmwright serve --shop demo/shop.sqlite

test: .venv/dev .venv/oracles
	@$(PY) -m pytest -q

check: .venv/dev
	@$(PY) -m ruff check --quiet --output-format concise
	@$(PY) -m ruff format --check --quiet --output-format concise || \
		{ echo "Not formatted: run $(PY) -m ruff format"; exit 1; }
	@$(PY) -m mypy --no-error-summary
	@$(PY) -m pytest -q -n 0 tests/house

bench: .venv/dev
	@$(PY) benchmarks/whole_process.py
	@$(PY) benchmarks/mechanics.py

soak: .venv/dev
	@CULMWRIGHT_SOAK=$(DEPTH) $(PY) -m pytest -q tests/soak

lock:
	@command -v uv >/dev/null || { echo "make lock needs uv: $(PYTHON) -m pip install uv"; exit 1; }
	@$(LOCK) --group build -o requirements.lock
	@$(LOCK) --group dev -c requirements.lock -o requirements-dev.lock
	@$(LOCK) --group dev --group oracles -c requirements-dev.lock -o requirements-oracles.lock

clean:
	@rm -rf .venv demo build dist .hypothesis .mypy_cache .pytest_cache .ruff_cache
	@find src tests benchmarks -name __pycache__ -prune -exec rm -rf {} +

.venv/run: requirements.lock pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null || { \
		echo "culmwright needs Python 3.11 or newer; this is $$($(PYTHON) --version 2>&1)."; \
		echo "Name another one like this: make demo PYTHON=python3.12"; exit 1; }
	@echo "Installing into .venv (once; about a minute) ..."
	@$(PYTHON) -m venv .venv
	@$(PIP) --require-hashes -r requirements.lock
	@$(PIP) --no-deps --no-build-isolation -e .
	@touch $@

.venv/dev: requirements-dev.lock .venv/run
	@echo "Installing what the tests need ..."
	@$(PIP) --require-hashes -r requirements-dev.lock
	@touch $@

# Tried once for each lock; without them their tests are skipped and counted. To try again: rm .venv/oracles
# Without a compiler their mesher "installs" all the same and cannot be imported: it is taken out again.
.venv/oracles: requirements-oracles.lock .venv/dev
	@echo "Installing the oracles (compiles for a minute) ..."
	@{ $(PIP) --require-hashes -r requirements-oracles.lock && $(PY) -c "import cytriangle"; } >.venv/oracles.log 2>&1 || { \
		echo "The oracles could not be installed (they need a C compiler); see .venv/oracles.log."; \
		$(PY) -m pip uninstall -qq -y cytriangle; $(PY) -m pip cache remove -qq cytriangle; true; } 2>/dev/null
	@touch $@

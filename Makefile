# Every command and child of a test starts two to three times as fast from compiled modules.
unexport PYTHONDONTWRITEBYTECODE

.DEFAULT_GOAL := help
.PHONY: help setup demo serve check test test-fast lint types imports bench docs fixtures lock clean peers messages

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
UV := $(BIN)/uv
STAMP := $(VENV)/.installed
BENCH_VENV := .venv-bench
BENCH_STAMP := $(BENCH_VENV)/.installed
BENCHMARKS := speed accuracy quality serial
PORT ?= 8377

help: ## List what make can do
	@grep -E '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | awk -F ':.*## ' '{printf "  make %-10s %s\n", $$1, $$2}'

$(UV):
	@sh tools/make-venv.sh "$(PYTHON)" "$(VENV)"

$(STAMP): requirements.lock pyproject.toml | $(UV)
	@$(UV) pip sync --quiet --python $(BIN)/python --require-hashes requirements.lock
	@$(UV) pip install --quiet --python $(BIN)/python --no-deps --editable .
	@touch $@

setup: $(STAMP) ## Make the virtual environment and install everything into it

demo: $(STAMP) ## Set everything up and open a round of simulated patients in the browser
	$(BIN)/couchside demo --port $(PORT)

serve: $(STAMP) ## Serve the pages on this machine (PORT=8377)
	$(BIN)/couchside serve --port $(PORT)

peers: ## Install the Debian packages that the tests use as real peers
	@sh tools/install-peers.sh

test: $(STAMP) peers ## Set everything up and run every test
	$(BIN)/pytest -n 2 --dist worksteal

test-fast: $(STAMP) ## Run the tests that need no browser
	$(BIN)/pytest -n 2 -m "not browser"

lint: $(STAMP) types imports ## Check style, types and the import rules
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .

types: $(STAMP) ## Check types, in Python and in the pages' scripts
	$(BIN)/mypy
	sh tools/check-script-types.sh

imports: $(STAMP) ## Check that each package imports only what it may
	$(BIN)/lint-imports

check: test lint ## What CI runs

$(BENCH_STAMP): $(STAMP)
	@$(UV) venv --quiet --clear --python $(BIN)/python $(BENCH_VENV)
	@$(UV) pip sync --quiet --python $(BENCH_VENV)/bin/python --require-hashes requirements.lock
	@$(UV) pip install --quiet --python $(BENCH_VENV)/bin/python --editable ".[bench]"
	@touch $@

bench: $(BENCH_STAMP) ## Measure speed and accuracy and print the tables (open recordings in COUCHSIDE_DATA)
	@missed=0; for each in $(BENCHMARKS); do \
		echo "== $$each"; $(BENCH_VENV)/bin/python -m benchmarks $$each || missed=1; \
	done; exit $$missed

docs: $(STAMP) peers ## Make again what is made from the code: commands, schema, pictures
	$(BIN)/python -m tools.docs
	$(BIN)/python -m tools.plot_scenarios
	$(BIN)/python -m tools.screenshots

messages: $(STAMP) ## Gather what the pages say for translators
	$(BIN)/python -m tools.messages

fixtures: $(STAMP) ## Make again the small files under tests/data
	$(BIN)/python -m tools.fixtures

lock: $(UV) ## Resolve the dependencies again into requirements.lock
	$(UV) pip compile --quiet pyproject.toml --extra dev --universal --python-version 3.11 \
	  --generate-hashes --no-emit-index-url --no-header --upgrade -o requirements.lock

clean: ## Remove the virtual environment and what the tools cached
	rm -rf $(VENV) $(BENCH_VENV) .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis demo-data

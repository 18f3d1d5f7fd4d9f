# Each target sets up what it needs; nothing but Python (3.11 or newer) and make has to be there.
#   make demo PYTHON=python3.13     another Python
#   make test LOCK=                 the newest libraries instead of the pinned ones
#   make test TESTS=tests/unit      a part of the tests
#   make mutants PART=core          a part of the mutants: reach, core, program, drawn, page, or a file's path
#   make fuzz-inputs PART=sheets    a kind of broken input: vocabulary, rdf, sheets, requests
PYTHON ?= python3
VENV   ?= .venv
LOCK   ?= .ci/requirements.lock
TESTS  ?=
PART   ?=
BIN    := $(VENV)/bin
COMMA  := ,

# A strict editable install links each file by name, so it is made anew when a file came or went.
SOURCES := $(shell find graph queries data_demo -type f ! -name '*.pyc' | LC_ALL=C sort)
# For the product alone there is a shorter lock file beside the usual one.
PRODUCT := $(if $(filter .ci/requirements.lock,$(LOCK)),.ci/requirements-product.lock,$(LOCK))

INSTALL := $(BIN)/python -m pip install --quiet --disable-pip-version-check
# $(call install,LOCK,EXTRAS): with a lock file, which is complete, only archives whose digest stands in it are taken.
install = $(if $(1),$(INSTALL) --no-deps --require-hashes --requirement $(1) && \
    $(INSTALL) --no-deps --no-build-isolation --editable .,$(INSTALL) --editable '.$(2)')

.PHONY: demo test test-browser test-cluster check format pages bench bench-cluster mutants fuzz fuzz-inputs kills FORCE
.DELETE_ON_ERROR:

demo: $(VENV)/for-demo
	@$(BIN)/knockon swap tansy-m080 --want "rotor=LARCH-201"
	@echo
	@echo 'How to go on: the command is $(BIN)/knockon. Try these:'
	@echo '  export PATH=$$PWD/$(BIN):$$PATH'
	@echo '  knockon --help'
	@echo '  knockon swap tansy-m080 --want "rotor=LARCH-201" --why "hub nut"'
	@echo 'docs/first-swap.md goes through the whole job, docs/start.md makes records of your own.'

test: $(VENV)/for-test
	$(BIN)/python -m pytest -n auto --dist worksteal $(TESTS)

# Parquet, DuckDB and Spark, in an environment of their own: with pyarrow there, pandas is another one.
test-cluster:
	@$(MAKE) --no-print-directory .venv-cluster/for-test VENV=.venv-cluster LOCK=.ci/requirements-cluster.lock
	.venv-cluster/bin/python -m pytest $(or $(TESTS),tests/cluster tests/commands/test_published.py)

# The page in Debian's Chromium, in an environment of its own: apt-get install chromium.
test-browser:
	@$(MAKE) --no-print-directory .venv-browser/for-test VENV=.venv-browser LOCK=.ci/requirements-browser.lock
	.venv-browser/bin/python -m pytest -n 2 --dist worksteal $(or $(TESTS),tests/browser)

check: $(VENV)/for-check
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy graph queries tests
	$(BIN)/lint-imports

format: $(VENV)/for-check
	$(BIN)/ruff check --fix
	$(BIN)/ruff format

# The pages and schemas of docs/ that are made from the code; tests compare them.
pages: $(VENV)/for-test
	$(BIN)/python -m knockon.queries.ui.published docs
	$(BIN)/python -m knockon.graph.model.reference > $(VENV)/records.md
	mv $(VENV)/records.md docs/records.md

bench: $(VENV)/for-bench
	@set -e; for file in $(filter-out %_cluster.py,$(sort $(wildcard tests/bench/bench_*.py))); do \
	    echo "== $$file"; $(BIN)/python $$file; done

# With Parquet and DuckDB, in the environment of test-cluster.
bench-cluster:
	@$(MAKE) --no-print-directory .venv-cluster/for-test VENV=.venv-cluster LOCK=.ci/requirements-cluster.lock
	.venv-cluster/bin/python tests/bench/bench_cluster.py

mutants: $(VENV)/for-test
	$(BIN)/python -m tests.mutation $(PART)

fuzz: $(VENV)/for-test
	KNOCKON_FUZZ=all $(BIN)/python -m pytest -n auto tests/properties/test_own_vocabulary_fuzz.py

fuzz-inputs: $(VENV)/for-test
	$(BIN)/python -m tests.fuzz $(PART)

kills: $(VENV)/for-test
	$(BIN)/python -m tests.kills

$(BIN)/pip:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { \
	    echo "knockon needs Python 3.11 or newer, and '$(PYTHON)' is not: $$($(PYTHON) --version 2>&1)."; \
	    echo "Name another one, for example: make PYTHON=python3.12 $(MAKECMDGOALS)"; exit 1; } >&2
	@echo "Setting up $(VENV), once; this takes a minute or two." >&2
	@$(PYTHON) -m venv $(VENV) || { \
	    echo "Python could not make a virtual environment; on Debian and Ubuntu: apt-get install python3-venv"; \
	    exit 1; } >&2

build/sources.txt: FORCE
	@mkdir -p build
	@printf '%s\n' $(SOURCES) | cmp --silent - $@ || printf '%s\n' $(SOURCES) > $@

$(VENV)/for-demo: $(BIN)/pip pyproject.toml $(PRODUCT) build/sources.txt
	@$(call install,$(PRODUCT),)
	@touch $@

$(VENV)/for-test: $(BIN)/pip pyproject.toml $(LOCK) build/sources.txt .ci/requirements-outside.lock
	@$(call install,$(LOCK),[test])
	@$(INSTALL) --no-deps --require-hashes --requirement .ci/requirements-outside.lock
	@touch $@

$(VENV)/for-bench: $(VENV)/for-test .ci/requirements-bench.lock
	@$(INSTALL) --no-deps --require-hashes --requirement .ci/requirements-bench.lock
	@touch $@

$(VENV)/for-check: $(VENV)/for-test
	@$(if $(LOCK),true,$(call install,,[test$(COMMA)check]))
	@touch $@

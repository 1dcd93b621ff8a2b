# Needs Python 3.11 or newer with pip (or venv), make and git; everything else is fetched into this folder.
#
#   make demo    do the demo job and print where its offer is
#   make test    check, then every test
#   make help    the other targets

SHELL := bash
.SHELLFLAGS := -euo pipefail -c
.DEFAULT_GOAL := help
.DELETE_ON_ERROR:
.SUFFIXES:
MAKEFLAGS += --no-print-directory

UV_VERSION := 0.13.9
UV := .tools/bin/uv
BIN := .venv/bin
WORKERS ?= 2

# Nothing is written outside this folder, and uv brings no Python of its own.
export UV_CACHE_DIR := $(CURDIR)/.cache/uv
export XDG_CACHE_HOME := $(CURDIR)/.cache
export UV_PYTHON_DOWNLOADS := never
export UV_NO_PROGRESS := 1
export PIP_DISABLE_PIP_VERSION_CHECK := 1
export PIP_ROOT_USER_ACTION := ignore
unexport VIRTUAL_ENV PYTHONPATH PYTHONHOME

# A stamp carries the hash of what its set is made from: when a lock or the project's own table changes, its name does.
RUN_STAMP := .stamps/run-$(shell cat requirements/run.lock pyproject.toml | git hash-object --stdin)
DEV_STAMP := .stamps/dev-$(shell cat requirements/dev.lock pyproject.toml | git hash-object --stdin)

.PHONY: help setup demo test check cover bench soak docs lock audit clean run-set

help: ## say what each target does
	@sed -n 's/^\([a-z]*\):.*## \(.*\)/make \1\t\2/p' Makefile | expand -t 14

setup: $(DEV_STAMP) ## the program and the test tools in .venv

demo: run-set ## the demo job: site in demo-site, offer in demo-offer
	@$(BIN)/python scripts/run_demo.py

test: check ## everything that must hold before a change is shared
	$(BIN)/python -m pytest -n $(WORKERS) --dist worksteal

check: $(DEV_STAMP) ## the static tools
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/basedpyright
	$(BIN)/lint-imports
	$(BIN)/deptry src
	$(BIN)/codespell

cover: $(DEV_STAMP) ## every test again, with the share of branches that they take
	$(BIN)/python -m pytest -n $(WORKERS) --dist worksteal --cov --cov-report=term

bench: $(DEV_STAMP) ## benchmarks, each beside its peer
	$(BIN)/python -m pytest benchmarks --benchmark-only --benchmark-disable-gc --benchmark-columns=min,median,rounds

soak: $(DEV_STAMP) ## the laws of make test, on many more cases
	$(BIN)/python -m pytest -n $(WORKERS) --dist worksteal -m soak --hypothesis-profile=soak

docs: $(DEV_STAMP) ## docs/reference and the picture, from the code, the trade's data and the demo site
	$(BIN)/python scripts/make_docs.py
	$(BIN)/courtwright offer src/courtwright/cli/demo_site --out .cache/docs-offer >/dev/null
	mkdir -p docs/pictures && cp .cache/docs-offer/plan-lower.svg docs/pictures/plan.svg

# No addresses and no paths of a machine go into a lock; tests/test_docs.py looks.
LOCK := --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header

lock: $(UV) ## both locks again, from pyproject.toml
	$(UV) pip compile $(LOCK) pyproject.toml requirements/build.in --output-file requirements/run.lock
	$(UV) pip compile $(LOCK) pyproject.toml --group dev --constraint requirements/run.lock --output-file requirements/dev.lock

audit: $(DEV_STAMP) ## known vulnerabilities of what both locks pin; asks the package index, so it needs the network
	$(BIN)/pip-audit --progress-spinner off --disable-pip --require-hashes --requirement requirements/run.lock
	$(BIN)/pip-audit --progress-spinner off --disable-pip --require-hashes --requirement requirements/dev.lock

clean: ## take away all that these targets made
	rm -rf .venv .tools .cache .stamps .ruff_cache .pytest_cache .hypothesis .benchmarks .import_linter_cache .coverage* htmlcov build dist
	if [ -f demo-site/site.toml ]; then rm -rf demo-site; fi
	rm -rf demo-offer

# --- sets ---------------------------------------------------------------------------------------

# The demo needs no test tools; where they are already there it leaves them.
run-set: .venv/pyvenv.cfg
	@if [ -x $(BIN)/pytest ]; then $(MAKE) $(DEV_STAMP); else $(MAKE) $(RUN_STAMP); fi

$(RUN_STAMP): .venv/pyvenv.cfg
	$(call install,run)

$(DEV_STAMP): .venv/pyvenv.cfg
	$(call install,dev)

# `sync` takes the project itself out, so that it is put back each time. Compiled now, the first command is as fast as
# the next.
define install
	mkdir -p .stamps && rm -f .stamps/*
	$(UV) pip sync --quiet --compile-bytecode --python $(BIN)/python --require-hashes requirements/$(1).lock
	$(UV) pip install --quiet --python $(BIN)/python --no-deps --no-build-isolation -e .
	touch $@
endef

.venv/pyvenv.cfg: | $(UV)
	python=$$(scripts/find_python) && $(UV) venv --quiet --clear --python "$$python" .venv

$(UV):
	scripts/get_uv $(UV_VERSION)

# Needs Python 3.11 or newer with pip (or venv), make and git; everything else is fetched into this folder.
#
#   make demo    do the demo job and print where its offer is
#   make test    check, then every test
#   make setup   then `.venv/bin/courtwright serve`: the office for daily work
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
export npm_config_cache := $(CURDIR)/.cache/npm
# Pages are tried in the system's Chromium.
export PLAYWRIGHT_SKIP_BROWSER_DOWNLOAD := 1
unexport VIRTUAL_ENV PYTHONPATH PYTHONHOME

# A stamp carries the hash of what its set is made from: when a lock or the project's own table changes, its name does.
RUN_STAMP := .stamps/run-$(shell cat requirements/run.lock pyproject.toml | git hash-object --stdin)
DEV_STAMP := .stamps/dev-$(shell cat requirements/dev.lock pyproject.toml | git hash-object --stdin)
NODE_STAMP := .stamps/node-$(shell cat web/package-lock.json | git hash-object --stdin)
CLIENT := src/courtwright/api/static/sw.js

# Node comes with the test tools, from the package index.
NPM := PATH="$(CURDIR)/$(BIN):$$PATH" npm --prefix web

# What the client is made from: its own sources, and the schema of the service.
CLIENT_SOURCES := $(shell find web/src web/public web/build web/*.html web/*.ts web/*.js web/*.json -type f -not -name openapi.json -not -name schema.d.ts) \
	$(shell find src/courtwright/api src/courtwright/store/rows src/courtwright/desk -name '*.py')

.PHONY: help setup demo test check cover bench soak docs lock audit clean run-set browser pictures

help: ## say what each target does
	@echo 'Try it:      make demo'
	@echo 'Check it:    make test'
	@echo 'Daily work:  make setup, once; then .venv/bin/courtwright serve, and open the link that it prints'
	@echo
	@sed -n 's/^\([a-z]*\):.*## \(.*\)/make \1\t\2/p' Makefile | expand -t 14

setup: $(DEV_STAMP) $(CLIENT) ## the program and the test tools in .venv, and the web client

demo: run-set ## the demo job: site in demo-site, offer in demo-offer
	@$(BIN)/python scripts/run_demo.py

test: check browser ## everything that must hold before a change is shared
	$(NPM) test
	$(BIN)/python -m pytest -n $(WORKERS) --dist worksteal
	$(NPM) run e2e

check: $(DEV_STAMP) $(CLIENT) ## the static tools
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/basedpyright
	$(BIN)/lint-imports
	$(BIN)/deptry src
	$(BIN)/codespell
	$(NPM) run check

cover: $(DEV_STAMP) ## every test again, with the share of branches that they take
	$(BIN)/python -m pytest -n $(WORKERS) --dist worksteal --cov --cov-report=term

bench: $(DEV_STAMP) $(CLIENT) ## benchmarks, each beside its peer, and the client in a browser
	$(BIN)/python -m pytest benchmarks --benchmark-only --benchmark-disable-gc --benchmark-columns=min,median,rounds
	$(BIN)/python scripts/bench_table.py
	$(NPM) run --silent bench

soak: $(DEV_STAMP) $(CLIENT) ## the laws of make test, on many more cases
	$(BIN)/python -m pytest -n $(WORKERS) --dist worksteal -m soak --hypothesis-profile=soak
	COURTWRIGHT_SOAK=1 $(NPM) run e2e

docs: $(DEV_STAMP) ## docs/reference and the drawings, from the code, the trade's data and the demo site
	$(BIN)/python scripts/make_docs.py
	$(BIN)/python scripts/make_client_data.py
	$(BIN)/courtwright offer src/courtwright/site/demo_site --out .cache/docs-offer >/dev/null
	mkdir -p docs/pictures && cp .cache/docs-offer/plan-lower.svg docs/pictures/plan.svg
	$(BIN)/python scripts/draw_ground.py

pictures: $(CLIENT) browser ## docs/pictures/screens: every screen at three widths
	COURTWRIGHT_PICTURES=$(CURDIR)/docs/pictures/screens $(NPM) run --silent e2e -- screens.spec.ts -g 'looked at'
	$(BIN)/python scripts/shrink_pictures.py docs/pictures/screens

# No addresses and no paths of a machine go into a lock; tests/test_docs.py looks.
LOCK := --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header

lock: $(UV) ## both locks again, from pyproject.toml
	$(UV) pip compile $(LOCK) pyproject.toml requirements/build.in --output-file requirements/run.lock
	$(UV) pip compile $(LOCK) pyproject.toml --group dev --constraint requirements/run.lock --output-file requirements/dev.lock

audit: $(DEV_STAMP) ## known vulnerabilities of what both locks pin; asks the package index, so it needs the network
	$(BIN)/pip-audit --progress-spinner off --disable-pip --require-hashes --requirement requirements/run.lock
	$(BIN)/pip-audit --progress-spinner off --disable-pip --require-hashes --requirement requirements/dev.lock

clean: ## take away all that these targets made
	rm -rf .venv .tools .cache .stamps .ruff_cache .pytest_cache .hypothesis .benchmarks .import_linter_cache .coverage* htmlcov build dist web/node_modules src/courtwright/api/static
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
	mkdir -p .stamps && rm -f .stamps/run-* .stamps/dev-*
	$(UV) pip sync --quiet --compile-bytecode --python $(BIN)/python --require-hashes requirements/$(1).lock
	$(UV) pip install --quiet --python $(BIN)/python --no-deps --no-build-isolation -e .
	touch $@
endef

$(NODE_STAMP): web/package-lock.json | $(DEV_STAMP)
	rm -f .stamps/node-*
	$(NPM) ci --loglevel=error
	touch $@

$(CLIENT): $(NODE_STAMP) $(CLIENT_SOURCES)
	$(BIN)/python scripts/write_openapi.py web/openapi.json
	$(NPM) run --silent types
	$(NPM) run --silent build

browser: ## Chromium from the system's packages, where it is missing
	@scripts/get_browser

.venv/pyvenv.cfg: | $(UV)
	python=$$(scripts/find_python) && $(UV) venv --quiet --clear --python "$$python" .venv

$(UV):
	scripts/get_uv $(UV_VERSION)

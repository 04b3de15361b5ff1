# Thin: each target is one or two commands that can be typed by hand as well.
PYTHON ?= python3
WORKERS ?= 2
DEMO ?= build/tern-quay-bench
BIN := .venv/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check install --quiet

.DEFAULT_GOAL := help
.PHONY: help setup setup-dev demo serve test check checks bench docs locks

help: ## list the targets
	@awk -F ':.*## ' '/^[a-z-]+:.*## / { printf "  make %-10s %s\n", $$1, $$2 }' Makefile

setup: .venv/project.stamp ## make .venv with what the program needs

setup-dev: setup .venv/dev.stamp ## add what tests and checks need

.venv/run.stamp: requirements/run.lock
	@tools/ensure_system.sh venv
	$(PYTHON) -m venv .venv
	$(PIP) --require-hashes -r requirements/run.lock
	@touch $@

.venv/project.stamp: pyproject.toml .venv/run.stamp
	$(PIP) --no-deps --no-build-isolation --editable .
	@touch $@

.venv/dev.stamp: requirements/dev.lock .venv/run.stamp
	$(PIP) --require-hashes -r requirements/dev.lock
	@touch $@

demo: setup ## make the invented workshop afresh and run its first job
	$(BIN)/python tools/demo.py $(DEMO)

serve: setup ## open the bench book on the demo workshop
	@test -f $(DEMO)/workshop.sqlite || $(BIN)/python tools/demo.py $(DEMO)
	$(BIN)/brasswright serve --workshop $(DEMO)

test: setup-dev ## run all tests (browser tests need Chromium)
	@tools/ensure_system.sh chromium
	$(BIN)/python -m pytest -n $(WORKERS)

check: setup-dev ## style, types, imports, small repository checks
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo
	$(BIN)/python tools/vendor.py --check

checks: setup-dev ## run every check against an outside value and list them
	$(BIN)/python tools/checks.py

bench: setup-dev ## print the figures of each promise, quick mode
	$(BIN)/python -m benchmarks

docs: setup-dev ## write the generated reference pages
	$(BIN)/python tools/docs.py

locks: setup-dev ## compile requirements/*.lock again
	tools/locks.sh

# Two commands matter: `make run` and `make test`. What each target needs it sets up itself.
SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DEFAULT_GOAL := help

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
RUN_STAMP := $(VENV)/.run-installed
DEV_STAMP := $(VENV)/.dev-installed
WORKERS ?= 2
QUICK := not browser and not servers and not fuzz and not slow

.PHONY: help run check lint quick test bench soak lighthouse lock clean

help:
	@echo "make run    set up, load the demo, start web, worker and beat"
	@echo "make check  linters, types and the quick tests"
	@echo "make test   everything, with real servers and a real browser; nothing skipped"
	@echo "make bench  what the engine takes, against a floor measured in the same run"
	@echo "make soak   ten minutes of requests and sheets on real servers, while workers, web and broker are killed"
	@echo "make lighthouse  the client's pages through Lighthouse, phone profile; needs node and npm"
	@echo "make texts  take new messages into the .po files of each language, and compile those"
	@echo "make lock   renew the hash-pinned lock files after a change of pyproject.toml"

$(VENV)/bin/python:
	$(PYTHON) -m venv $(VENV)

$(RUN_STAMP): requirements/run.lock.txt | $(VENV)/bin/python
	$(PYTHON) config/preflight.py run
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/run.lock.txt
	touch $@

$(DEV_STAMP): requirements/dev.lock.txt | $(VENV)/bin/python
	$(PYTHON) config/preflight.py test
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/dev.lock.txt
	touch $@

run: export FARPADDOCK_DEMO := 1
run: $(RUN_STAMP)
	$(BIN)/python manage.py migrate --verbosity 0
	$(BIN)/python manage.py createcachetable
	$(BIN)/python manage.py collectstatic --noinput --verbosity 0
	$(BIN)/python -m config.run

# --- Tests -------------------------------------------------------------------------------------------------------

lint: $(DEV_STAMP)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(BIN)/djlint --lint --quiet intake/templates tuning/desk/templates reports/templates
	FARPADDOCK_SECRET_KEY=$$(head -c 40 /dev/urandom | base64) $(BIN)/python manage.py makemigrations --check --dry-run
	FARPADDOCK_SECRET_KEY=$$(head -c 40 /dev/urandom | base64) $(BIN)/python manage.py check --fail-level WARNING

quick: $(DEV_STAMP)
	$(BIN)/pytest -q -n $(WORKERS) -m "$(QUICK)"

check: lint quick

test: $(DEV_STAMP)
	$(PYTHON) config/preflight.py test
	$(MAKE) lint
	$(BIN)/pytest -n $(WORKERS) --dist loadfile --no-skips

texts: $(DEV_STAMP)
	$(PYTHON) config/preflight.py test
	FARPADDOCK_SECRET_KEY=$$(head -c 40 /dev/urandom | base64) $(BIN)/python manage.py texts

bench: $(DEV_STAMP)
	$(BIN)/python -m tests.bench

soak: $(DEV_STAMP)
	$(PYTHON) config/preflight.py test
	$(BIN)/python -m tests.soak --write

lighthouse: $(DEV_STAMP) tests/lighthouse/node_modules/.package-lock.json
	$(BIN)/python -m tests.lighthouse --write

tests/lighthouse/node_modules/.package-lock.json: tests/lighthouse/package-lock.json
	npm ci --prefix tests/lighthouse --no-audit --no-fund

lock: | $(VENV)/bin/python
	$(BIN)/python -m pip install --quiet --disable-pip-version-check uv
	$(BIN)/uv pip compile --quiet --generate-hashes --no-emit-index-url --no-emit-find-links --no-header \
		--python-version 3.11 pyproject.toml -o requirements/run.lock.txt
	$(BIN)/uv pip compile --quiet --generate-hashes --no-emit-index-url --no-emit-find-links --no-header \
		--python-version 3.11 --extra dev pyproject.toml -c requirements/run.lock.txt -o requirements/dev.lock.txt

clean:
	rm -rf $(VENV) var static-built .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache

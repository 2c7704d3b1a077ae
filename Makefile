# make demo   the main job on a shipped scene
# make test   all tests
# make lint   style and types
# Each makes .venv and installs what it needs the first time; after that no network is needed.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check install --quiet
RESULTS := results/cottage

.PHONY: demo test lint clean
.DELETE_ON_ERROR:

demo: $(VENV)/.installed
	$(BIN)/stackrain run cottage -o $(RESULTS) --force

test: $(VENV)/.installed-test
	$(BIN)/python -m pytest -q -n auto --dist loadfile

lint: $(VENV)/.installed-lint
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy

clean:
	rm -rf $(VENV) results

$(VENV)/.made:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null || { \
	  echo "stackrain needs Python 3.11 or later; name it: make PYTHON=/path/to/python3" >&2; exit 1; }
	$(PYTHON) -m venv $(VENV)
	@touch $@

$(VENV)/.installed: pyproject.toml $(VENV)/.made
	@echo "Installing into $(VENV), once (some minutes, about 1 GB)"
	$(PIP) --editable .
	@touch $@

$(VENV)/.installed-test: $(VENV)/.installed
	$(PIP) --editable '.[test]'
	$(BIN)/python scenes/page/bundle.py --tools $(VENV)/tools
	@touch $@

$(VENV)/.installed-lint: $(VENV)/.installed
	$(PIP) --editable '.[lint]'
	@touch $@

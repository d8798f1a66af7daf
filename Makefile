# Everything runs from a fresh clone; the environment is made in .venv when it is first needed.
PYTHON ?= python3
VENV ?= .venv
BIN := $(VENV)/bin
READY := $(VENV)/.ready

.PHONY: demo test check bench clean

$(READY): pyproject.toml constraints.txt
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check -c constraints.txt -e ".[test,check,film,fleet]"
	touch $(READY)

demo: $(READY)  ## invented mornings, from log to page
	$(BIN)/thawline demo demo-out

test: $(READY)  ## all tests but the long campaigns
	$(BIN)/python -m pytest

check: $(READY)  ## linter, formatting, types, house rules
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/python -m pytest -n 0 tests/house

bench: $(READY)  ## speed, as ratios against named libraries
	$(BIN)/python benchmarks/decode.py
	$(BIN)/python benchmarks/morning.py

clean:
	rm -rf $(VENV) demo-out build dist .pytest_cache .mypy_cache .ruff_cache

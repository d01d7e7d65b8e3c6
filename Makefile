# Everything a person or a build machine does here: `make help` lists it.
# Works with GNU make 3.81 and later.

VENV := .venv
BIN := $(VENV)/bin
UV ?= uv
PIP_INSTALL := $(BIN)/python -m pip install --quiet --disable-pip-version-check

.PHONY: help setup demo test lint types imports check bench mutate reference calibrate prove soak serve fuzz audit docs lock clean

help: ## list the targets
	@grep -E '^[a-z]+:.*## ' Makefile | sed -E 's/^([a-z]+):.*## /  make \1: /'

setup: $(VENV)/dev.stamp ## install everything for working on the code, into .venv

demo: $(VENV)/run.stamp ## show the whole tool on invented data
	$(BIN)/rimwise demo --out demo-out

test: $(VENV)/dev.stamp ## run the tests, all but the speed measurements
	$(BIN)/python -m pytest -n 2 --dist loadscope -m "not bench" --benchmark-disable

bench: $(VENV)/dev.stamp ## measure speed
	$(BIN)/python -m pytest tests/bench -m bench --benchmark-only

mutate: $(VENV)/dev.stamp ## change the flight kernel in one place at a time; see what notices
	$(BIN)/python tools/mutate_kernel.py

reference: $(VENV)/dev.stamp ## hold the precession model to the rigid body; 10,000 throws, minutes
	$(BIN)/python tools/compare_with_rigid.py

calibrate: $(VENV)/dev.stamp ## hold beliefs to 800 invented owners, a sampler and the rim; an hour
	OPENBLAS_NUM_THREADS=1 $(BIN)/python tools/calibrate_beliefs.py --truths prior \
	    --draw docs/pictures/beliefs-calibration.svg
	OPENBLAS_NUM_THREADS=1 $(BIN)/python tools/calibrate_beliefs.py --owners 100 \
	    --truths numbers plastic pulled liar
	OPENBLAS_NUM_THREADS=1 $(BIN)/python tools/predict_beliefs.py
	$(BIN)/python tools/sample_beliefs.py

prove: $(VENV)/dev.stamp ## hold the hole solver to play by an independent simulator; ten minutes
	$(BIN)/python tools/prove_holes.py

fuzz: $(VENV)/safety.stamp ## change what is read, asked and typed at random; an hour and more
	RIMWISE_FUZZ=long $(BIN)/python -m pytest -n 2 --dist worksteal \
	    tests/unit/cli/test_fuzz_commands.py tests/unit/web/test_fuzz_pages.py
	$(BIN)/python tools/fuzz.py --seconds 60

audit: $(VENV)/safety.stamp ## ask for known faults of the locked packages; needs the network
	$(BIN)/pip-audit --strict --disable-pip --require-hashes --requirement requirements/run.txt

soak: $(VENV)/dev.stamp ## kill, cut the power, crowd, soak and grow the records at full length; an hour and more
	$(BIN)/python tools/kill_records.py --kills 320
	$(BIN)/python tools/cut_power.py --cuts 600
	$(BIN)/python tools/write_together.py --seconds 60
	$(BIN)/python tools/grow_records.py
	$(BIN)/python tools/soak_server.py --minutes 20

check: lint types ## lint, layers and types

lint: imports ## look for mistakes of style and layering
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

imports: $(VENV)/dev.stamp ## check that lower layers never import higher ones
	$(BIN)/lint-imports

types: $(VENV)/dev.stamp ## check the types
	$(BIN)/mypy

serve: $(VENV)/run.stamp ## open the pages in a browser on this computer
	$(BIN)/rimwise serve

docs: $(VENV)/run.stamp ## write the documents that are made from the code
	$(BIN)/python tools/write_assumptions.py
	$(BIN)/python tools/draw_physics.py
	$(BIN)/python tools/draw_distance.py
	$(BIN)/python tools/draw_putting.py

lock: ## choose package versions anew (needs uv)
	@command -v $(UV) >/dev/null || { \
	    echo "make lock needs uv; install it, or name yours: make lock UV=/path/to/uv" >&2; exit 1; }
	UV="$(UV)" tools/lock.sh

clean: ## remove what make made
	rm -rf $(VENV) demo-out build dist .coverage .benchmarks .hypothesis
	rm -rf .pytest_cache .mypy_cache .ruff_cache .import_linter_cache
	find src tests tools -name __pycache__ -type d -prune -exec rm -rf {} +

# A missing or dangling interpreter is made anew; the stamps lie inside and go with it.
$(BIN)/python:
	@python=$$(tools/find_python.sh $(PYTHON)) && echo "Making $(VENV) with $$python" \
	    && "$$python" -m venv --clear $(VENV)

# Packages come with checked hashes, the build backend among them, so that installing
# Rimwise itself downloads nothing more.
$(VENV)/run.stamp: $(BIN)/python requirements/run.txt pyproject.toml
	@echo 'Installing the packages of requirements/run.txt (the first time takes minutes)'
	$(PIP_INSTALL) --require-hashes -r requirements/run.txt
	$(PIP_INSTALL) --no-deps --no-build-isolation --editable .
	touch $@

$(VENV)/dev.stamp: $(BIN)/python requirements/dev.txt pyproject.toml
	@echo 'Installing the packages of requirements/dev.txt (the first time takes minutes)'
	$(PIP_INSTALL) --require-hashes -r requirements/dev.txt
	$(PIP_INSTALL) --no-deps --no-build-isolation --editable .
	touch $(VENV)/run.stamp $@

# On top, for `make fuzz` and `make audit`; fuzzing with coverage is for Linux on x86-64.
$(VENV)/safety.stamp: $(VENV)/dev.stamp requirements/safety.txt
	$(PIP_INSTALL) --require-hashes -r requirements/safety.txt
	touch $@

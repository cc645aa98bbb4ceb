# Everything a newcomer needs: `make run` shows the main job, `make test` proves the house stands.
# Both set up .venv by themselves; the second time they find it ready.

PYTHON ?= python3
VENV   := .venv
BIN    := $(VENV)/bin
READY  := $(VENV)/.ready
MODULES := node_modules/.ready
TRANSLATIONS := $(patsubst %.po,%.mo,$(wildcard src/clampwright/locale/*/LC_MESSAGES/*.po))

# Python keeps what it has compiled, whatever the environment says: the tests start hundreds of
# programs, and each would compile the whole package again.
export PYTHONDONTWRITEBYTECODE :=

.PHONY: setup browser compiler database authority run test coverage soak mutants lint types imports bench docs changelog lock release catalogue pictures audit clean

setup: $(READY) $(MODULES) $(TRANSLATIONS)

$(READY): requirements.lock pyproject.toml
	@$(PYTHON) -c 'import sys; sys.exit(not (3, 11) <= sys.version_info[:2] <= (3, 13))' || \
	  { echo "Clampwright needs Python 3.11 to 3.13; found $$($(PYTHON) --version 2>&1)." \
	         "Give another one with: make PYTHON=/path/to/python3"; exit 2; }
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements.lock
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-deps --no-build-isolation --editable .
	@touch $@

# Compiled translations are not kept by git: a newer source is compiled again.
%.mo: %.po | $(READY)
	@$(BIN)/python tools/translations.py

# TypeScript, only to check the hand-written modules of the pages; Node itself comes with .venv.
$(MODULES): package-lock.json $(READY)
	PATH="$(CURDIR)/$(BIN):$$PATH" npm ci --silent --no-audit --no-fund --ignore-scripts
	@touch $@

browser:
	@command -v chromium chromium-browser google-chrome >/dev/null 2>&1 || { \
	  if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then \
	    echo "Installing Chromium for the browser tests"; \
	    apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq chromium >/dev/null; \
	  else \
	    echo "The browser tests need Chromium. Install it, for example on Debian:" \
	         "sudo apt-get install chromium"; exit 2; \
	  fi; }

# The power-cut trials tape the store's calls with a few lines of C.
compiler:
	@command -v cc >/dev/null 2>&1 || command -v gcc >/dev/null 2>&1 || { \
	  if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then \
	    echo "Installing a C compiler for the power-cut trials"; \
	    apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq gcc libc6-dev >/dev/null; \
	  else \
	    echo "The power-cut trials need a C compiler. Install it, for example on Debian:" \
	         "sudo apt-get install gcc libc6-dev"; exit 2; \
	  fi; }

# The tests of the store on PostgreSQL start a server of their own; one that runs is left alone.
database:
	@ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || command -v initdb >/dev/null 2>&1 || { \
	  if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then \
	    echo "Installing PostgreSQL for the tests of the store"; \
	    apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq postgresql >/dev/null; \
	  else \
	    echo "The tests of the store on PostgreSQL need its server programs. Install them, for example on" \
	         "Debian: sudo apt-get install postgresql"; exit 2; \
	  fi; }

# An independent time-stamp authority for the tests.
authority:
	@command -v openssl >/dev/null 2>&1 || { \
	  if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null 2>&1; then \
	    echo "Installing openssl for the time-stamp tests"; \
	    apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq openssl >/dev/null; \
	  else \
	    echo "The time-stamp tests need openssl. Install it, for example on Debian:" \
	         "sudo apt-get install openssl"; exit 2; \
	  fi; }

run: setup
	$(BIN)/clampwright demo --folder demo-workshop --replace --serve

# Whoever is done first takes from the other's end: dealt out in batches, the pages' tests left one of
# two cores idle for minutes. Counting branches takes half as long again (Python 3.11 has no cheap
# way): `make coverage` does it.
SHARED := -n 2 --dist worksteal

test: setup browser compiler database authority
	$(BIN)/pytest $(SHARED) -m "not soak" --no-cov

coverage: setup browser compiler database authority
	$(BIN)/pytest $(SHARED) -m "not soak" --cov --cov-report=term

soak: setup browser compiler database authority
	$(BIN)/pytest -m soak -s

# Small changes to the code, and whether the tests notice; hours for all, so name some:
# make mutants ONLY="proof/entry store/reading" (docs/validation/mutants.md).
mutants: setup
	$(BIN)/python tools/mutants.py $(ONLY)

lint: setup
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: setup
	$(BIN)/mypy

imports: setup
	$(BIN)/lint-imports

bench: setup
	$(BIN)/pytest benchmarks -q --import-mode=prepend -o addopts="" -p no:cacheprovider --keep benchmarks/kept.jsonl

docs: setup
	$(BIN)/python tools/docs.py

# What users will notice, from changes/*.md into CHANGELOG.md.
changelog: setup
	$(BIN)/python tools/changelog.py

# Pinned versions and hashes for every Python and platform at once; needs uv on the PATH.
# Extras stay written (`coverage[toml]==…`): pip before 23.3 otherwise reaches for the newest release.
lock:
	uv pip compile --universal --python-version 3.11 --generate-hashes --no-annotate --no-header --no-strip-extras \
	  --group dev pyproject.toml -o requirements.lock

release: setup
	$(BIN)/python -m hatchling build -d dist
	$(BIN)/python tools/sbom.py dist/materials.json

pictures: setup browser
	$(BIN)/python tools/pictures.py

catalogue: setup
	$(BIN)/python tools/catalogue.py

# Known holes in what the program is made of: ADVISORIES=file-or-folder in the OSV format, asking
# nobody, or ASK=address of a server that speaks the OSV query form.
audit: setup
	@test -n "$(ADVISORIES)$(ASK)" || { echo "Name advisories in the OSV format: make audit ADVISORIES=file," \
	  "or a server to ask: make audit ASK=https://..."; exit 2; }
	$(BIN)/python tools/audit.py $(if $(ASK),--ask "$(ASK)","$(ADVISORIES)")

clean:
	rm -rf $(VENV) node_modules build dist demo-workshop

"""What holds for all tests, and what keeps them cheap.

The whole run takes at most fifteen minutes on two cores. What to take before making anew:

- `workshop` (here): the invented workshop, copied fresh for one test, nothing done yet. With
  `@on_both` (helpers/postgres.py) a test runs twice, its log in a file and in a database.
- `forked` (here, see helpers/forked.py): the command line loaded once and forked for every call.
  `forked.call(...)` where a process is fed or killed, `forked.command` where a shell calls it. The
  real command takes up to a second to load; start it only to test the start itself.
- `click.testing.CliRunner`: where neither a process nor a terminal matters.
- `client`, `opened` (web): the application without a server; most of what a page does is here.
- `nearby` (web): a server in a thread, for the browser. `server`: a process of its own, forked by
  `nursery`, only where it has to be killed.
- `handset` (web): a page of the one browser. Every page load costs half a second of processor
  time: come to the state to be tested through the library or the API, and load one page.
- `bench`, `at_the_bench` (docs): the folder of the manual, with the commands forked.
- `postgres` (here): a PostgreSQL server, two seconds once for each worker. `yard`: a workshop's
  folder whose log lies in either database; a test that asks for it runs twice.
- `eventful`, `clean` (report): records without a workshop. Each PDF costs a second: ask several
  things of one.

Counts (kills, cut-offs, drawn cases) are 20 or fewer in the tests and large under the `soak` mark.
Measuring coverage doubles the time of what it watches: property tests go without (see below), and
`@pytest.mark.no_cover` stands at sweeps that repeat what other tests run once. Nothing waits for
a fixed time. To find what is dear, sum `time.process_time()` and the children's `getrusage`, not
the clock, which also counts the neighbours.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import answers_held
import pytest
from forked import Forked
from hypothesis import settings
from postgres import Server, running
from translations import compile_all

if TYPE_CHECKING:
    from clampwright.bench.folder import Workshop

# The same examples on every run and machine, and no time limit that a busy machine could miss.
settings.register_profile("seeded", derandomize=True, deadline=None)
settings.load_profile("seeded")


def pytest_configure(config: pytest.Config) -> None:
    """Compile the translations, as `make` does, where a newer source lies there."""
    if not hasattr(config, "workerinput"):  # once, not in every process of pytest-xdist
        compile_all()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Measure no coverage while examples are drawn: it doubles the time, and shows little more."""
    for item in items:
        if item.get_closest_marker("hypothesis") is not None:
            item.add_marker(pytest.mark.no_cover)


@pytest.fixture(scope="session", autouse=True)
def _answers_held_here() -> Iterator[None]:
    """Hold every answer of the API against its schema, where tests serve pages."""
    with pytest.MonkeyPatch.context() as patched:
        if "clampwright.web.app" in sys.modules:  # loaded when tests are collected
            answers_held.hold(patched)
        yield


@pytest.fixture(autouse=True)
def _answers_as_said() -> Iterator[None]:
    """Fail the test in which an answer was not as its schema says."""
    answers_held.breaches.clear()
    yield
    assert answers_held.breaches == []


@pytest.fixture(scope="session")
def forked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Forked]:
    """The command line, loaded once: calls that cost no start."""
    found = Forked.begin(tmp_path_factory.mktemp("forked"))
    yield found
    found.end()


@pytest.fixture(scope="session")
def postgres() -> Iterator[Server]:
    """A PostgreSQL server, started when the first test asks for it."""
    with running() as server:
        yield server


@pytest.fixture(params=["sqlite", "postgresql"])
def yard(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """A workshop's folder with nothing in it; its log will lie in one database, then the other."""
    folder = tmp_path / "yard"
    if request.param == "postgresql":
        server: Server = request.getfixturevalue("postgres")
        server.folder_on(folder)
    return folder


@pytest.fixture
def workshop(request: pytest.FixtureRequest, tmp_path: Path) -> Workshop:
    """The invented workshop, its files fresh and nothing done yet."""
    from clampwright.demo.run import build_workshop  # noqa: PLC0415 - heavy, and few tests need it

    place = build_workshop(tmp_path / "workshop", replace=False)
    if getattr(request, "param", "sqlite") == "postgresql":
        server: Server = request.getfixturevalue("postgres")
        server.folder_on(place.folder)
    return place

"""A workshop behind a client, behind a real server, and a real browser in front of it."""

from __future__ import annotations

import http.client
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import uvicorn
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.cli.serve import bound
from clampwright.demo.run import build_workshop
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.store.where import DATABASE_FILE
from clampwright.web import app as application
from clampwright.web.app import App, create_app, own_hosts
from clampwright.web.routes import Way

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page
    from starlette.routing import BaseRoute

HOST = "127.0.0.1:8123"
OWN = f"http://{HOST}"
NO_CHROMIUM = (
    "These tests need the system's Chromium on the PATH, as chromium or chromium-browser. "
    "Install it, for example on Debian with: apt-get install chromium"
)
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
)
STATIC = Path(application.__file__).parent / "static"
PHONE = {"width": 390, "height": 844}
PATIENCE = 60_000
"""How long what must happen in a page is waited for, ms: much longer than a busy machine needs."""


JOB = "trailer-wheel"
"""Five nuts: 45 N·m with a click wrench, 90 N·m with a recording one, 50 km, a re-check."""


class Wheel:
    """What a device sends for the wheel job."""

    job = JOB
    device: Mapping[str, Any] = {
        "id": "device-0123456789ab",
        "time": "2026-10-05T08:00:00.000Z",
        "counter": 1,
    }

    def entry(self) -> str:
        return str(uuid7())

    def click(self, fastener: int, *, stage: int = 1, moved: bool = True) -> dict[str, Any]:
        """The body of a pull with the click wrench as it stands in the plan."""
        setting = {"value": "44", "unit": "N·m"}
        reading = {"kind": "click", "clicked": True, "moved": moved, "setting": setting}
        return self._pull(fastener, stage, "click-60", reading)

    def value(
        self, fastener: int, figure: str, *, stage: int = 2, unit: str = "N·m"
    ) -> dict[str, Any]:
        """The body of a pull read from the electronic wrench."""
        reading = {"kind": "value", "value": figure, "unit": unit}
        return self._pull(fastener, stage, "electronic-200", reading)

    def _pull(
        self, fastener: int, stage: int, tool: str, reading: dict[str, Any]
    ) -> dict[str, Any]:
        where = {"joint": "wheel", "stage": stage, "fastener": fastener}
        return {**where, "tool": tool, "reading": reading, "device": dict(self.device)}

    def put(self, client: TestClient, entry: str, body: Any, way: str = "pulls") -> Any:
        return client.put(f"/api/jobs/{JOB}/{way}/{entry}", json=body)

    def settle(self, client: TestClient, stage: int) -> None:
        """Do a whole stage."""
        for fastener in (1, 3, 5, 2, 4):
            body = self.click(fastener) if stage == 1 else self.value(fastener, "90,5", stage=stage)
            assert self.put(client, self.entry(), body).status_code == 201

    def kinds(self, place: Workshop) -> list[str]:
        """The kinds of the job's entries on the log."""
        with Store.open(place.folder, write=False) as store:
            return [entry["kind"] for entry in store.entries(job=JOB)]


@pytest.fixture
def wheel() -> Wheel:
    return Wheel()


@pytest.fixture(scope="session", autouse=True)
def routes_made_once() -> Iterator[None]:
    """Make the routes for the first application only: the signatures of all handlers are read then.

    That takes most of the time in which an application is made, and comes to the same each time.
    """
    made: dict[Way, BaseRoute] = {}
    add = application._add  # noqa: SLF001 - the one step of making an application that is dear

    def added(app: App, way: Way) -> None:
        if way in made:
            app.router.routes.append(made[way])
        else:
            add(app, way)
            made[way] = app.router.routes[-1]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(application, "_add", added)
        yield


def at_home(place: Workshop) -> App:
    return create_app(place.folder, hosts=[HOST], patience=0.2, speed=50.0)


def own(app: App) -> TestClient:
    """A client on the server's own address, as its own pages are."""
    return TestClient(app, base_url=OWN, headers={"origin": OWN}, raise_server_exceptions=False)


@pytest.fixture
def app(workshop: Workshop) -> App:
    return at_home(workshop)


@pytest.fixture
def client(app: App) -> Iterator[TestClient]:
    with own(app) as found:
        yield found


@pytest.fixture(scope="module")
def onlooker(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """A client for the tests of a module that change nothing in its workshop."""
    place = build_workshop(tmp_path_factory.mktemp("seen") / "workshop", replace=False)
    with own(at_home(place)) as found:
        yield found


@pytest.fixture(scope="session")
def begun(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The files of a workshop in which the wheel job was opened, to be copied."""
    place = build_workshop(tmp_path_factory.mktemp("begun") / "workshop", replace=False)
    with own(at_home(place)) as found:
        assert found.post(f"/api/jobs/{JOB}/opening").status_code == 201
    return place.folder


@pytest.fixture
def opened(workshop: Workshop, begun: Path, client: TestClient) -> TestClient:
    """A client where the wheel job is opened."""
    if (workshop.folder / DATABASE_FILE).exists():
        assert client.post(f"/api/jobs/{JOB}/opening").status_code == 201
    else:
        shutil.copytree(begun, workshop.folder, dirs_exist_ok=True)
    return client


@dataclass
class Server:
    """A real server in a process of its own, on a port that stays the same.

    Parameters
    ----------
    place : Workshop
    port : int
    """

    place: Workshop
    port: int
    nursery: subprocess.Popen[str]
    process: int = 0

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        assert self.nursery.stdin is not None
        assert self.nursery.stdout is not None
        self.nursery.stdin.write(f"{self.port} {self.place.folder}\n")
        self.nursery.stdin.flush()
        self.process = int(self.nursery.stdout.readline())
        until = time.monotonic() + 60
        while time.monotonic() < until:
            try:
                with closing(
                    http.client.HTTPConnection("127.0.0.1", self.port, timeout=5)
                ) as asked:
                    asked.request("GET", "/api/jobs")
                    asked.getresponse().read()
            except OSError:
                time.sleep(0.02)
            else:
                return
        raise AssertionError("the server did not start")

    def kill(self) -> None:
        """End it at once, as a power cut of the process would."""
        with suppress(ProcessLookupError):  # until it is gone, and its port free
            while self.process:
                os.kill(self.process, signal.SIGKILL)
                time.sleep(0.005)
        self.process = 0


def free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


@dataclass
class Nearby:
    """The same application in a thread of the test, where nothing has to be killed.

    Parameters
    ----------
    address : str
    """

    address: str


@pytest.fixture
def nearby(workshop: Workshop) -> Iterator[Nearby]:
    taken = bound("127.0.0.1", 0)
    port = taken.getsockname()[1]
    app = create_app(workshop.folder, hosts=own_hosts(port), patience=0.3, speed=5.0)
    config = uvicorn.Config(
        app, log_level="critical", ws="websockets-sansio", timeout_graceful_shutdown=1
    )
    found = uvicorn.Server(config)
    thread = threading.Thread(target=found.run, kwargs={"sockets": [taken]})
    thread.start()
    yield Nearby(f"http://127.0.0.1:{port}")
    found.should_exit = True
    thread.join(60)
    assert not thread.is_alive()


@pytest.fixture(scope="session")
def nursery() -> Iterator[subprocess.Popen[str]]:
    """A process that has everything loaded and makes servers by forking: they start at once."""
    script = Path(__file__).with_name("nursery.py")
    with subprocess.Popen(
        [sys.executable, str(script)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as found:
        yield found
        found.terminate()


@pytest.fixture
def server(workshop: Workshop, nursery: subprocess.Popen[str]) -> Iterator[Server]:
    found = Server(workshop, free_port(), nursery)
    found.start()
    yield found
    found.kill()


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    from playwright.sync_api import expect, sync_playwright  # noqa: PLC0415 - only where it is needed

    expect.set_options(timeout=PATIENCE)
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        pytest.fail(NO_CHROMIUM)
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        yield found
        found.close()


@dataclass
class Phone:
    """A page on a phone, and everything it complained about.

    Parameters
    ----------
    context : BrowserContext
    page : Page
    """

    context: BrowserContext
    page: Page
    complaints: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)


def brisk(page: Page) -> None:
    """Let a page take answers, and send what is kept, ten times sooner than it does for people.

    A new view at the bench takes no answer for a moment, and what could not be sent is sent again
    after two seconds: for a whole job, or a server that comes back, that is most of a test's time.
    """
    waits = [
        int(re.findall(rf"const {name} = (\d+);", (STATIC / file).read_text("utf-8"))[0])
        for file, name in (("bench.js", "DOUBLE"), ("outbox.js", "RETRY"))
    ]
    page.add_init_script(
        f"""for (const name of ["setTimeout", "setInterval"]) {{
          const own = window[name].bind(window);
          window[name] = (act, wait, ...more) =>
            own(act, {waits}.includes(wait) ? wait / 10 : wait, ...more);
        }}"""
    )


def phone(browser: Browser, **more: Any) -> Phone:
    """Open a page as on a phone."""
    options: dict[str, Any] = {
        "viewport": PHONE,
        "has_touch": True,
        "is_mobile": True,
        "reduced_motion": "reduce",
        # Only tests of work without network want the worker between page and server.
        "service_workers": "block",
        **more,
    }
    context = browser.new_context(**options)
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    found = Phone(context, page)
    page.on("pageerror", lambda error: found.complaints.append(str(error)))
    page.on("request", lambda request: found.asked.append(request.url))
    return found


@pytest.fixture
def handset(browser: Browser) -> Iterator[Phone]:
    found = phone(browser)
    yield found
    found.context.close()
    assert found.complaints == []


@pytest.fixture
def german_handset(browser: Browser) -> Iterator[Phone]:
    """A phone whose browser asks for German."""
    found = phone(browser, locale="de-DE")
    yield found
    found.context.close()
    assert found.complaints == []


def judged(cases: Sequence[tuple[str, Any]]) -> list[Any]:
    """What the browser's verifier says of each case (see verifier.mjs)."""
    here = Path(__file__).parent
    beside = Path(sys.executable).with_name("node")
    found = str(beside) if beside.is_file() else shutil.which("node")
    if found is None:
        pytest.fail("these tests need Node; `make setup` brings it")
    static = here.parents[1] / "src" / "clampwright" / "web" / "static"
    done = subprocess.run(
        [found, "--no-warnings", str(here / "verifier.mjs"), static.as_uri()],
        input=json.dumps(cases),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    answers: list[Any] = json.loads(done.stdout)
    assert len(answers) == len(cases)
    return answers


@pytest.fixture(scope="session")
def judge() -> Callable[[Sequence[tuple[str, Any]]], list[Any]]:
    return judged

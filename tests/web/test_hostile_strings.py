"""Two hundred hostile texts in every field: shown as text on pages, papers, tables, terminal."""

from __future__ import annotations

import csv
import io
import re
import subprocess
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from forked import Forked
from infested import JOB, Infested, hostile, packed
from lxml import etree, html  # type: ignore[import-untyped] # it ships no types
from starlette.testclient import TestClient
from tests.web.conftest import HOST, OWN, Nearby, Phone

from clampwright.bench.export import export_log
from clampwright.bench.folder import Workshop
from clampwright.bench.records import record_of
from clampwright.demo.run import build_workshop
from clampwright.report.pdf import record_pdf
from clampwright.shown import UNKNOWN, shown, shown_on_terminal
from clampwright.store import Store
from clampwright.web.app import create_app

TEXTS = packed(hostile(), 200)
PAGES = (
    "/", "/drawer", "/drawer/click-60", "/drawer/h003", "/procedures", "/people", "/after",
    "/history", "/safe", "/labels", "/handed", f"/jobs/{JOB}", f"/jobs/{JOB}/papers",
    f"/jobs/{JOB}/record", f"/jobs/{JOB}/pull", "/jobs/h001", "/jobs/h004", "/drawer/coverage",
)  # fmt: skip
ASKED = (
    "/find", "/practice", "/practice/what-if", "/passes", "/friction", "/lines", "/typed",
    "/formulas", "/sign-in", "/drawer/choose", "/procedures/new", "/practice/exercise",
)  # fmt: skip
NAMES = (
    "q", "text", "to", "class", "learner", "torque", "thread", "circle", "exercise", "kind",
    "joint", "job", "tool", "machine", "aim", "word", "shares", "table", "title",
)  # fmt: skip
ACTS = r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]"
ACTIVE = re.compile(r"^\s*(?:javascript|data:text|vbscript):", re.IGNORECASE)
OF_PAGES = {"script": "src", "link": "href", "img": "src", "form": "action"}


def filled(folder: Path, texts: list[str]) -> Iterator[tuple[TestClient, Infested]]:
    place = build_workshop(folder / "workshop", replace=False)
    app = create_app(place.folder, hosts=[HOST], patience=0.5)
    found = Infested(place, texts)
    with TestClient(app, base_url=OWN, headers={"origin": OWN}) as client:
        found.fill(client)
        yield client, found


@pytest.fixture(scope="module")
def infested(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[TestClient, Infested]]:
    yield from filled(tmp_path_factory.mktemp("infested"), TEXTS)


@pytest.fixture(scope="module")
def tame(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[TestClient, Infested]]:
    plain = [f"Plain text {n:03}" for n in range(len(TEXTS))]
    yield from filled(tmp_path_factory.mktemp("tame"), plain)


def check_inert(page: str, path: str) -> Any:
    """Nothing on a page runs, leads or loads elsewhere, whatever stands on it."""
    root = html.document_fromstring(page)
    for element in root.iter():
        if not isinstance(element.tag, str):
            continue
        assert not [name for name in element.attrib if name.startswith("on")], path
        for name in ("href", "src", "action", "formaction", "srcdoc", "data"):
            value = element.get(name)
            assert value is None or not ACTIVE.match(value), (path, value)
        wanted = OF_PAGES.get(element.tag)
        if wanted and element.get(wanted):
            assert element.get(wanted, "").startswith(("/", "#", "data:image/", "?")), path
        if element.tag == "script":
            assert element.get("src") or element.get("type") == "application/json", path
        assert element.tag not in {"iframe", "object", "embed", "base", "style"}, path
    return root


def skeleton(root: Any) -> Counter[str]:
    return Counter(one.tag for one in root.iter() if isinstance(one.tag, str))


def test_there_are_two_hundred_of_many_kinds() -> None:
    texts = hostile()
    assert len(texts) == len(set(texts)) >= 200
    assert " ¦ ".join(TEXTS).count("¦") == len(texts) - 1


def test_pages_show_them_as_text(
    infested: tuple[TestClient, Infested], tame: tuple[TestClient, Infested]
) -> None:
    seen = 0
    for path in PAGES:
        answer, other = infested[0].get(path), tame[0].get(path)
        assert (answer.status_code, path) == (other.status_code, path)
        root = check_inert(answer.text, path)
        strange = skeleton(root).keys() - skeleton(check_inert(other.text, path)).keys()
        assert not strange, f"{path}: elements that no plain text brings"
        text = " ".join(root.text_content().split())
        # Blanks are joined by the browser, and what acts unseen stands as the unknown sign.
        for one in TEXTS:
            seen += " ".join(shown(one).split())[:60] in text
        assert not [sign for sign in "\x1b\x00\u202e\u2066" if sign in answer.text], path
    assert seen > 3 * len(TEXTS)


def test_what_is_asked_for_comes_back_as_text(infested: tuple[TestClient, Infested]) -> None:
    for path in ASKED:
        for text in TEXTS[::4]:
            answer = infested[0].get(f"{path}?{urlencode(dict.fromkeys(NAMES, text))}")
            assert answer.status_code < 500, (path, text)
            if answer.headers["content-type"].startswith("text/html"):
                check_inert(answer.text, path)


def test_the_shelf_refuses_none_for_being_hostile(infested: tuple[TestClient, Infested]) -> None:
    """A person's or a procedure's name may be refused, but in a sentence, and few are."""
    refused = infested[1].refused
    assert len(refused.get("procedure", [])) < len(TEXTS) / 2
    shelf = infested[0].get("/api/procedures").json()["procedures"]
    assert len(shelf) >= len(TEXTS) / 2
    for one in shelf[:6]:
        page = infested[0].get(f"/procedures/{one['procedure']}")
        assert page.status_code == 200
        check_inert(page.text, one["procedure"])


def test_tables_hold_no_formula(infested: tuple[TestClient, Infested], tmp_path: Path) -> None:
    with Store.open(infested[1].place.folder, write=False) as store:
        export_log(store, tmp_path / "out")
    rows = list(csv.reader(io.StringIO((tmp_path / "out" / "pulls.csv").read_text("utf-8"))))
    cells = [cell for row in rows for cell in row]
    assert not [c for c in cells if c.startswith(("=", "+", "@", "\t", "\r"))]


def test_a_paper_is_set_with_them(infested: tuple[TestClient, Infested]) -> None:
    with Store.open(infested[1].place.folder) as store:
        record = record_of(store, JOB)
    paper = record_pdf(record, {})
    assert paper.startswith(b"%PDF-")
    assert b"elsewhere.example/)" not in paper
    assert not re.search(rb"/S\s*/(?:URI|Launch|JavaScript)", paper)


def test_drawings_hold_them_as_text(infested: tuple[TestClient, Infested]) -> None:
    """What is on the page of a job as SVG, and the fan of its joint as a picture of its own."""
    drawn = infested[0].get(f"/jobs/{infested[1].jobs[1]}/charts/wheel/fan.svg")
    assert drawn.status_code == 200
    root = etree.fromstring(drawn.content)
    tags = {etree.QName(one).localname for one in root.iter() if isinstance(one.tag, str)}
    assert not tags & {"script", "foreignObject", "a", "image", "use", "iframe"}
    assert not [n for one in root.iter() for n in one.attrib if n.startswith("on") or "href" in n]


def test_the_terminal_is_not_steered(
    infested: tuple[TestClient, Infested], forked: Forked, tmp_path: Path
) -> None:
    folder = infested[1].place.folder
    steering = next(n for n, text in enumerate(TEXTS) if "\x1b[2J" in text)
    job = folder / "jobs" / f"h{steering:03}.toml"
    for words in (
        ["drawer", "list", "--workshop", str(folder)],
        ["shelf", "list", "--workshop", str(folder)],
        ["check", str(job), "--drawer", str(folder / "drawer.toml")],
        ["drawer", "list", "--workshop", str(folder), "--json"],
    ):
        told = subprocess.run(
            [forked.command, *words], capture_output=True, cwd=tmp_path, check=False
        )
        text, problem = (one.decode("utf-8") for one in (told.stdout, told.stderr))
        assert text, problem
        assert "Traceback" not in problem
        left = re.sub(r"\x1b\[(?:0|1|2|22)?m", "", text + problem)
        assert not re.search(ACTS, left), words


@pytest.mark.parametrize("text", hostile())
def test_what_acts_unseen_is_shown(text: str) -> None:
    for made in (shown(text), shown_on_terminal(text)):
        assert all(one.isprintable() or one in "\n\t" or one not in text for one in made) or (
            UNKNOWN in made or made == text
        )
        assert "\x1b" not in re.sub(r"\x1b\[(?:0|1|2|22)?m", "", made)


def test_a_browser_runs_and_fetches_nothing(
    handset: Phone, workshop: Workshop, nearby: Nearby
) -> None:
    Infested(workshop, TEXTS).files_and_shelf()
    for path in ("/", "/drawer", "/procedures", "/drawer/h001", "/jobs/h002", "/people"):
        handset.page.goto(nearby.address + path, wait_until="load")
        assert handset.page.evaluate("window.ran") is None, path
    assert not [one for one in handset.asked if not one.startswith((nearby.address, "data:"))]

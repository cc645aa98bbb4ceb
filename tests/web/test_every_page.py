"""Every page there is, in every look: axe finds nothing, nothing runs out of the side.

The pages come from the server's own list of addresses: one that is not named here fails the test.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

import pytest
from looked_over import LOOKS, clean
from lxml import html  # type: ignore[import-untyped]  # it ships no types
from marked_texts import TAG, Marked, given, strangers

from clampwright.bench.days import today
from clampwright.bench.folder import open_session, open_store
from clampwright.bench.mechanic import SimulatedMechanic
from clampwright.bench.rehearsal import rehearse
from clampwright.bench.shelf import Draft, put
from clampwright.demo.run import build_workshop
from clampwright.web.routes import WAYS

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page
    from starlette.testclient import TestClient

    from clampwright.bench.folder import Workshop

JOB = "trailer-wheel"
TRAILER = quote("Boat trailer, single axle (invented)")

PAGES: Mapping[str, tuple[str, ...]] = {
    "/": ("/",),
    "/jobs/{job}": (f"/jobs/{JOB}", "/jobs/coupling-as-typed"),
    "/jobs/{job}/pull": (f"/jobs/{JOB}/pull",),
    "/jobs/{job}/apart": (f"/jobs/{JOB}/apart",),
    "/jobs/{job}/audit": (f"/jobs/{JOB}/audit",),
    "/jobs/{job}/papers": (f"/jobs/{JOB}/papers",),
    "/jobs/{job}/preparation": (f"/jobs/{JOB}/preparation",),
    "/jobs/{job}/record": (f"/jobs/{JOB}/record",),
    "/jobs/{job}/care": (f"/jobs/{JOB}/care",),
    "/jobs/{job}/second-look": (f"/jobs/{JOB}/second-look",),
    "/figures": ("/figures?thread=M12&strength=8.8",),
    "/procedures": ("/procedures", "/procedures?text=pump"),
    "/procedures/new": ("/procedures/new",),
    "/procedures/{procedure}": ("/procedures/invented-pump",),
    "/drawer": ("/drawer",),
    "/drawer/choose": ("/drawer/choose?torque=45+Nm&within=5",),
    "/drawer/coverage": ("/drawer/coverage",),
    "/drawer/by-feel": ("/drawer/by-feel?harm=3&soft=on",),
    "/drawer/look-over": ("/drawer/look-over?moment=job&tool=click-60",),
    "/drawer/keep-or-replace": ("/drawer/keep-or-replace?calibration=60&new=180",),
    "/drawer/new": ("/drawer/new",),
    "/drawer/due": ("/drawer/due",),
    "/drawer/study": ("/drawer/study",),
    "/drawer/{tool}": ("/drawer/click-60", "/drawer/bar-12"),
    "/drawer/{tool}/calibrate": ("/drawer/click-60/calibrate",),
    "/drawer/{tool}/look-back": ("/drawer/click-60/look-back",),
    "/handed": ("/handed",),
    "/after": ("/after",),
    "/labels": ("/labels",),
    "/safe": ("/safe",),
    "/telling": ("/telling",),
    "/archive": ("/archive",),
    "/history": ("/history",),
    "/history/machine": (f"/history/machine?name={TRAILER}",),
    "/find": ("/find?text=wheel", "/find?verdict=red"),
    "/formulas": ("/formulas", "/formulas?text=torque"),
    "/formulas/{name}": ("/formulas/torque_from_clamp_long_form?clamp=x",),
    "/lines": ("/lines?form=x&sample=1",),
    "/device": ("/device",),
    "/typed": ("/typed",),
    "/passes": ("/passes",),
    "/friction": ("/friction",),
    "/verify": ("/verify",),
    "/trust": ("/trust",),
    "/extras": ("/extras",),
    "/entries": ("/entries",),
    "/reset": ("/reset",),
    "/sign-in": ("/sign-in",),
    "/people": ("/people",),
    "/api": ("/api",),
    "/practice": ("/practice", "/practice?class=evening&learner=7"),
    "/practice/lessons/{lesson}": ("/practice/lessons/first?class=evening&learner=7",),
    "/practice/exercise": tuple(
        f"/practice/exercise?exercise=first/{number}" for number in (1, 2, 5)
    ),
    "/practice/classes/{group}": ("/practice/classes/evening",),
    "/practice/classes/{group}/wall": ("/practice/classes/evening/wall",),
    "/practice/what-if": ("/practice/what-if",),
}
"""Pages, each with the addresses at which it is looked at."""

FILES = frozenset(
    {
        "/archive/charts/{show}.svg",
        "/jobs/{job}/charts/{joint}/{show}.svg",
        "/jobs/{job}/papers/{sha256}",
        "/jobs/{job}/record.json",
        "/jobs/{job}/record.txt",
        "/jobs/{job}/record.pdf",
        "/procedures/{procedure}/files/{sha256}",
        "/drawer/due.ics",
        "/drawer/{tool}/look-back/letter",
        "/drawer/{tool}/reports/{entry}.pdf",
        "/after.ics",
        "/after/{follow_up}/slip.pdf",
        "/labels.pdf",
        "/safe/head.pdf",
        "/passes.pdf",
        "/practice/classes/{group}/results.csv",
        "/practice/classes/{group}/results.json",
        "/practice/lessons/{lesson}/sheet.pdf",
        "/practice/other",
        "/practice/what-if.pdf",
        "/trust/authority.crt",
        "/service-worker.js",
        "/favicon.ico",
        "/healthz",
        "/metrics",
        "/static/{version}/{name:path}",
    }
)
"""Addresses that answer with a file, a line or the way to a page, and the one letter that its own
test looks at."""

ALL = [one for paths in PAGES.values() for one in paths]
PARTS = 6
"""The pages are looked at in so many parts, so that two workers share them."""


def test_every_page_of_the_server_is_looked_at() -> None:
    listed = {way.path for way in WAYS if way.kind == "page" and way.method == "GET"}
    assert listed == set(PAGES) | FILES


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The files of a workshop with a job under way and a procedure on the shelf."""
    place = build_workshop(tmp_path_factory.mktemp("done") / "workshop", replace=False)
    with open_session(place, place.jobs / f"{JOB}.toml", today=today()) as session:
        rehearse(session, SimulatedMechanic(session.plan, seed=1), lambda *_: None)
    source = {"title": "Pump sheet (invented)", "edition": "2", "page": "7", "date": "2024-05"}
    draft = Draft("Invented pump", "Step 1: 10 Nm crosswise. Step 2: 22 Nm.", source=source)
    with open_store(place) as store:
        put(store, place, draft, "A. Fitter")
    return place.folder


@pytest.fixture
def worked(workshop: Workshop, done: Path) -> Workshop:
    shutil.copytree(done, workshop.folder, dirs_exist_ok=True)
    return workshop


@pytest.mark.parametrize("part", range(PARTS))
def test_nothing_to_complain_of_on_any_page_in_any_look(
    handset: Any, nearby: Any, worked: Workshop, part: int
) -> None:
    assert worked.jobs.is_dir()
    page: Page = handset.page
    for path in ALL[part::PARTS]:
        page.goto(nearby.address + path)
        choices = page.locator("look-choice option").evaluate_all("all => all.map(o => o.value)")
        assert set(choices) in (set(), {"system", *LOOKS}), path
        clean(page, path)
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), (path, "200 %")


FINE = re.compile(
    r"Clampwright|workshop\.\w+|/[\w./{}-]+|\b(?:N·m|[fi][tn]·lbf|UTC|kN|MPa|lbf|cos|VDI|ISO)\b|"
    r"\b[0-9a-f]{4,64}\b|English|Deutsch|français|español|italiano|português|Nederlands|日本語"
)
"""Text of pages that is no sentence of any language: names, units, addresses, what is typed."""


WRITTEN = (
    "a rehearsal: nobody looked at parts and place",
    "computed: at most 75% of the proof load; friction:",
    "Click wrench 20 to 150 …",
    "Pump sheet (invented)",
    "Invented pump",
    "Step 1:",
    "Step 2:",
    "A. Fitter",
    "crosswise",
)
"""What people, the rehearsal among them, wrote into this workshop; and a source made of two."""


@pytest.mark.no_cover
def test_every_text_of_every_page_comes_out_of_the_catalogue(
    client: TestClient, worked: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The page of the API is for programmers and stands in English, like the API itself."""
    monkeypatch.setenv("CLAMPWRIGHT_LANG", TAG)
    monkeypatch.setattr("clampwright.locale.texts.catalogue", lambda _tag: Marked())
    known = sorted([*WRITTEN, *given(worked.folder)], key=len, reverse=True)
    found = []
    for path in (one for address, paths in PAGES.items() if address != "/api" for one in paths):
        tree = html.fromstring(client.get(path).text)
        for script in tree.xpath("//script|//style"):
            script.drop_tree()
        texts = tree.xpath("//body//text()|//@aria-label|//@placeholder|//@alt|//@title")
        # One sentence may run over several elements: what stands beside it is looked at together.
        whole = "\n".join(str(text) for text in texts)
        if strange := strangers(whole, known, FINE):
            found.append((path, strange[:20]))
    assert not found, "\n".join(f"{path}: {strange}" for path, strange in found)

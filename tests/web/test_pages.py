"""Pages: in words from the catalogue, from this server alone, safe with whatever a person typed."""

from __future__ import annotations

import hashlib
import re
from html.parser import HTMLParser
from importlib.resources import files
from typing import Any

import pytest
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.proof.verification import verify
from clampwright.store import Store
from clampwright.web.assets import TYPES, Assets
from clampwright.web.rendering import PAGES as SENTENCES
from clampwright.web.rendering import SCRIPTS

PAGES = ("/", "/jobs/trailer-wheel", "/jobs/trailer-wheel/pull", "/jobs/trailer-wheel/record")
PLAIN = (
    "/procedures",
    "/procedures?find=pump",
    "/procedures/new",
    "/drawer",
    "/drawer/click-60",
    "/drawer/choose?torque=45+Nm",
    "/drawer/coverage",
    "/drawer/by-feel?harm=3&soft=on",
    "/drawer/look-over?moment=job&tool=click-60",
    "/drawer/keep-or-replace?calibration=60&new=180",
    "/drawer/new",
    "/api",
    "/formulas",
    "/formulas/clamp_rate",
    "/no/such/page",
)
STATIC = files("clampwright.web").joinpath("static")
TEMPLATES = files("clampwright.web").joinpath("templates")


class Found(HTMLParser):
    """What a page loads, and what the policy would not let it do."""

    def __init__(self) -> None:
        super().__init__()
        self.loads: list[str] = []
        self.inline: list[str] = []
        self._data = True

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        facts = dict(attrs)
        self.inline += [name for name in facts if name == "style" or name.startswith("on")]
        if tag == "style" or (
            tag == "script" and "src" not in facts and facts.get("type") != "application/json"
        ):
            self.inline.append(tag)
        for name in ("src", "href", "action"):
            if tag not in {"a", "form"} and facts.get(name):
                self.loads.append(str(facts[name]))


@pytest.mark.parametrize("path", [*PAGES, *PLAIN])
def test_a_page_loads_only_hashed_files_of_its_own(opened: TestClient, path: str) -> None:
    answer = opened.get(path)
    assert answer.headers["content-type"].startswith("text/html")
    found = Found()
    found.feed(answer.text)
    assert found.inline == []
    assert len(found.loads) >= 4
    for address in found.loads:
        if address.startswith("#"):
            continue
        assert address.startswith(("/static/", "/jobs/trailer-wheel/charts/")), address
        got = opened.get(address)
        assert got.status_code == 200, address
        if address.startswith("/jobs/"):
            assert got.headers["content-type"] == "image/svg+xml"
            continue  # a chart changes with the plan: it is asked for again
        assert "immutable" in got.headers["cache-control"]


def test_static_files_name_no_outside_address() -> None:
    for name, asset in Assets()._files.items():  # noqa: SLF001 - all of them, not only the used
        text = asset.data.decode()
        outside = set(re.findall(r"(?:https?|wss?):?//[\w.$]+", text))
        assert outside <= {"http://www.w3.org", "ws://$"}, name
        assert "@import" not in text
        assert "url(" not in text


def test_an_address_changes_with_the_content_and_an_old_one_is_gone(client: TestClient) -> None:
    assets = Assets()
    address = assets.address("bench.js")
    assert client.get(address).status_code == 200
    old = address.replace(assets.version, "0" * 16)
    assert client.get(old).status_code == 404
    assert client.get("/static/../../etc/passwd").status_code == 404
    assert client.get(f"/static/{assets.version}/../app.py").status_code == 404
    with pytest.raises(KeyError):
        assets.address("missing.js")


def test_every_static_file_has_a_known_type() -> None:
    for one in STATIC.iterdir():
        assert one.name.endswith((*TYPES, ".d.ts")), one.name


def test_the_sentences_of_the_scripts_are_those_of_the_catalogue() -> None:
    """Each is used, and each that is used is there with the fields it needs."""
    text = "".join(f.read_text("utf-8") for f in STATIC.iterdir() if f.name.endswith(".js"))
    used = set(re.findall(r'say\(\s*"(\w+)"', text)) | set(re.findall(r'\? "(\w+)" : "\w+"', text))
    used |= set(re.findall(r'\? "\w+" : "(\w+)"', text)) & set(SCRIPTS)
    used |= set(re.findall(r'"((?:reason|extras|cue)_\w+)"', text))
    words_of_verifying = STATIC.joinpath("verify-words.js").read_text("utf-8")
    used |= set(re.findall(r'"(verify_\w+)"', words_of_verifying))
    assert {name for name in used if name in SCRIPTS} == set(SCRIPTS)
    assert set(re.findall(r'say\(\s*"(\w+)"', text)) <= set(SCRIPTS)
    for name, sentence in SCRIPTS.items():
        assert not re.search(r"\{\w+:", sentence.template), name


def test_the_sentences_of_the_templates_are_those_of_the_catalogue() -> None:
    text = "".join(f.read_text("utf-8") for f in TEMPLATES.iterdir())
    assert set(re.findall(r"\bwords\.(\w+)", text)) - {"js"} == set(SENTENCES)


def test_every_page_says_how_many_entries_are_only_on_this_device() -> None:
    """The count stands in the bar of all pages, and the module that fills it is with them."""
    nobody_is_in = {"sign_in.html"}
    for file in TEMPLATES.iterdir():
        text = file.read_text("utf-8")
        if 'extends "base.html"' not in text or file.name in nobody_is_in:
            continue
        own = "block scripts" in text
        filled = "super()" in text or "sending.js" in text or "bench.js" in text
        assert not own or filled, file.name
        assert "block body" not in text or "<unsent-count>" in text, file.name


def test_what_a_person_typed_is_escaped(client: TestClient, workshop: Workshop) -> None:
    file = workshop.jobs / "trailer-wheel.toml"
    nasty = "<script>alert(1)</script></title>"
    text = file.read_text("utf-8").replace("Left wheel back on after greasing the hub", nasty)
    file.write_text(text.replace('"Left wheel"', f'"{nasty}"'), "utf-8")
    assert client.post("/api/jobs/trailer-wheel/opening").status_code == 201
    for path in PAGES:
        text = client.get(path).text
        assert "<script>alert" not in text
        assert "alert(1)" in text


def test_the_plan_page_shows_order_tool_card_clamp_and_findings(client: TestClient) -> None:
    text = client.get("/jobs/coupling-as-typed").text
    assert 'class="joint-map"' in text
    assert 'class="setting-card"' in text
    assert "Clamp load" in text
    assert "Ask:" in text
    assert "settle this before starting" in text
    assert "Begin in spite of what is to be settled" in text


def test_the_job_page_says_how_far_it_is(opened: TestClient, wheel: Any) -> None:
    wheel.put(opened, wheel.entry(), wheel.click(1))
    assert "1 of 15 pulls done" in opened.get("/").text
    assert "1 of 15 pulls done" in opened.get("/jobs/trailer-wheel").text


def test_records_are_fetched_verified_and_the_same_again(
    opened: TestClient, wheel: Any, workshop: Workshop
) -> None:
    wheel.settle(opened, 1)
    first = opened.get("/jobs/trailer-wheel/record.json")
    assert first.headers["content-disposition"] == 'attachment; filename="trailer-wheel.json"'
    assert verify(first.content).ok
    assert opened.get("/jobs/trailer-wheel/record.json").content == first.content
    text = opened.get("/jobs/trailer-wheel/record.txt").text
    assert "RECORD OF WORK" in text
    paper = opened.get("/jobs/trailer-wheel/record.pdf")
    assert paper.content.startswith(b"%PDF-")
    assert opened.get("/jobs/trailer-wheel/record.pdf").content == paper.content
    with Store.open(workshop.folder, write=False) as store:
        made = [one["body"] for one in store.entries() if one["kind"] == "paper_made"]
    assert [one["sha256"] for one in made] == [hashlib.sha256(paper.content).hexdigest()]


def test_a_record_of_a_job_not_opened_is_not_found(client: TestClient) -> None:
    for ending in ("", ".json", ".txt", ".pdf"):
        assert client.get(f"/jobs/trailer-wheel/record{ending}").status_code == 404


def test_the_api_page_lists_what_openapi_describes(client: TestClient) -> None:
    schema = client.get("/api/openapi.json").json()
    text = client.get("/api").text
    assert len(schema["paths"]) >= 10
    put = schema["paths"]["/api/jobs/{job}/pulls/{entry}"]["put"]
    refused = {"400", "401", "403", "404", "409", "413", "421", "422", "429", "503", "507"}
    assert set(put["responses"]) == {"200", "201", *refused}
    for path in schema["paths"]:
        assert path in text
    for gone in ("/docs", "/redoc", "/docs/oauth2-redirect"):
        assert client.get(gone).status_code == 404


def test_the_page_speaks_the_language_of_the_catalogue(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    from clampwright.web.app import create_app  # noqa: PLC0415 - after the language is set

    monkeypatch.setenv("CLAMPWRIGHT_LANG", "de_AT")
    app = create_app(workshop.folder, hosts=["127.0.0.1:8123"])
    with TestClient(app, base_url="http://127.0.0.1:8123") as client:
        assert '<html lang="de-AT">' in client.get("/").text


def test_every_finding_says_why_it_matters_and_where_its_rule_is_from(client: TestClient) -> None:
    shown = client.get("/jobs/coupling-as-typed").text
    assert "Why this matters" in shown
    assert "a factor of 12, kilogram-metres for newton metres" in shown
    assert "the units differ by one word" in shown

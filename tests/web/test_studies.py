"""Pages of orders and passes and of a friction test: they say what the command says, and keep."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from click.testing import CliRunner
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.bench.friction import own_conditions
from clampwright.cli.passes import command as passes_command
from clampwright.web.studies import EXAMPLE
from clampwright.work.job import Job
from clampwright.work.jobfile import load_job

PASTE = Path("examples/joints/paste-m10.csv").read_text(encoding="utf-8")
BENT = Path("examples/joints/washer-turned.csv").read_text(encoding="utf-8")
PULLS = Path("examples/joints/cover-pulls.csv").read_text(encoding="utf-8")
PARTS = {"thread": "M10", "bolt": "ISO 4014", "hole": "medium"}
KEPT = {"save": "bench-paste", "title": "bench paste (invented)", "by": "A. Fitter (invented)"}


def text_of(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def post(client: TestClient, **asked: str) -> Any:
    return client.post(
        "/friction",
        content=urlencode(asked),
        headers={
            "origin": str(client.base_url),
            "content-type": "application/x-www-form-urlencoded",
        },
    )


def test_passes_without_anything_is_a_form(client: TestClient) -> None:
    answer = client.get("/passes")
    assert answer.status_code == 200
    assert 'name="gasket_modulus"' in answer.text
    assert "Smallest over largest" not in answer.text


def test_the_page_of_passes_says_what_the_command_says(client: TestClient) -> None:
    options = [word for key, text in EXAMPLE.items()
               for word in ("--" + key.replace("_", "-"), text)]  # fmt: skip
    told = json.loads(CliRunner().invoke(passes_command, [*options, "--json"]).output)
    answer = client.get(f"/passes?{urlencode(EXAMPLE)}")
    said = text_of(answer.text)
    for row in told["orders"]:
        assert (
            "  ".join(f"{value:.2f}" for value in row["evenness"]).split()
            == said.partition(row["name"] + " ")[2].split()[: len(row["evenness"])]
        )
    assert answer.text.count("data:image/svg+xml;base64,") == 6
    assert "right to about half" in said


def test_the_page_leads_to_the_same_on_paper(client: TestClient) -> None:
    page = client.get(f"/passes?{urlencode(EXAMPLE)}").text
    found = re.search(r'href="(/passes\.pdf[^"]+)"', page)
    assert found is not None
    paper = client.get(unescape(found[1]))
    assert paper.status_code == 200
    assert paper.headers["content-type"] == "application/pdf"
    assert paper.content.startswith(b"%PDF-")


def test_a_paper_of_half_a_question_says_what_is_missing(client: TestClient) -> None:
    answer = client.get(f"/passes.pdf?{urlencode(EXAMPLE | {'thickness': ''})}")
    assert answer.status_code == 422
    assert "“Thickness of flange, strip or cover” is needed here" in text_of(answer.text)


def test_measured_pulls_can_be_pasted(client: TestClient) -> None:
    asked = {"measured": PULLS, "u_clamp": "100 N", "target": "20 kN", "order": "2,3,1,4"}
    said = text_of(client.get(f"/passes?{urlencode(asked)}").text)
    assert "Order: 2,3,1,4" in said
    assert "right to about half" not in said


@pytest.mark.parametrize(
    ("change", "part"),
    [
        ({"circle": ""}, "give the fasteners with"),
        ({"row": "4"}, "give one of"),
        ({"thickness": ""}, "“Thickness of flange, strip or cover” is needed here"),
        ({"circle": "1000"}, "up to 400"),
        ({"beyond": "20 mm"}, "a ring has no free ends"),
        ({"target": "20 furlongs"}, "furlongs"),
        ({"shares": "a"}, "write numbers with commas"),
    ],
)
def test_a_wrong_field_is_named_as_it_stands_on_the_page(
    client: TestClient, change: dict[str, str], part: str
) -> None:
    answer = client.get(f"/passes?{urlencode(EXAMPLE | change)}")
    assert answer.status_code == 422
    assert part.casefold() in text_of(answer.text).casefold()


def test_a_test_is_evaluated_and_nothing_kept(client: TestClient, workshop: Workshop) -> None:
    answer = post(client, table=PASTE, **PARTS)
    said = text_of(answer.text)
    assert answer.status_code == 200
    assert "friction 0.091 to 0.113" in said
    assert "The line is straight." in said
    assert own_conditions(workshop.folder) == ()


def test_a_kept_condition_can_be_named_by_a_job(client: TestClient, workshop: Workshop) -> None:
    said = text_of(post(client, table=PASTE, **PARTS, **KEPT).text)
    assert 'Kept: write friction = "bench-paste" in a job file (0.091 to 0.113).' in said
    own = own_conditions(workshop.folder)
    text = (workshop.jobs / "launch-engine-head.toml").read_text(encoding="utf-8")
    changed = text.replace('friction = "oiled"', 'friction = "bench-paste"')
    assert changed != text
    job: Job = load_job(changed.encode(), "job.toml", friction=own)
    assert job.joints[0].friction is not None
    assert job.joints[0].friction.low == pytest.approx(0.0906)
    path = workshop.jobs / "with-paste.toml"
    path.write_text(changed.replace('id = "launch-engine-head"', 'id = "with-paste"'))
    assert "bench paste (invented)" in text_of(client.get("/jobs/with-paste").text)
    again = post(client, table=PASTE, **PARTS, **KEPT)
    assert again.status_code == 422
    assert "there is a condition bench-paste already" in text_of(again.text).casefold()


def test_a_bent_line_says_so_and_is_not_kept(client: TestClient, workshop: Workshop) -> None:
    said = text_of(post(client, table=BENT, **PARTS).text)
    assert "the line is not straight" in said.casefold()
    answer = post(client, table=BENT, **PARTS, **KEPT)
    assert answer.status_code == 422
    assert "not kept" in text_of(answer.text)
    assert own_conditions(workshop.folder) == ()


@pytest.mark.parametrize(
    ("change", "part"),
    [
        ({"thread": ""}, "“Thread tested, such as M10” is needed here"),
        ({"table": ""}, "table"),
        ({"bolt": ""}, "the face under the head is needed"),
        (KEPT | {"by": ""}, "to keep it, give “Who made the test” too"),
        (KEPT | {"save": "My Paste"}, "small letters"),
        (KEPT | {"date": "May"}, "2026-05-01"),
    ],
)
def test_a_bad_test_gets_one_sentence(
    client: TestClient, workshop: Workshop, change: dict[str, str], part: str
) -> None:
    answer = post(client, **({"table": PASTE} | PARTS | change))
    assert answer.status_code == 422
    assert part.casefold() in text_of(answer.text).casefold()
    assert own_conditions(workshop.folder) == ()


def test_conditions_without_an_upper_end_are_listed_as_such(client: TestClient) -> None:
    said = text_of(client.get("/friction").text)
    assert "stainless_dry 0.3 or more: no clamp load follows" in said
    assert "oiled 0.08 – 0.16" in said


def test_another_site_cannot_keep_a_condition(client: TestClient, workshop: Workshop) -> None:
    body = urlencode({"table": PASTE, **PARTS, **KEPT})
    answer = client.post("/friction", content=body, headers={"origin": "http://elsewhere"})
    assert answer.status_code == 403
    assert own_conditions(workshop.folder) == ()


def test_by_thumb_on_a_phone(handset: Any, nearby: Any, workshop: Workshop) -> None:
    """In a browser the form carries this page's own name, else the server would take nothing."""
    page = handset.page
    page.goto(f"{nearby.address}/friction")
    page.get_by_label("Table with units in its header").fill(PASTE)
    page.get_by_label("Thread tested, such as M10").fill("M10")
    page.get_by_label("Bolt standard, such as ISO 4014").fill("ISO 4014")
    page.get_by_label("Clearance hole").select_option("medium")
    page.get_by_role("button", name="Evaluate").tap()
    page.wait_for_selector("#result")
    for label, value in zip(
        ("Name to keep it under", "What the condition is", "Who made the test"),
        KEPT.values(),
        strict=True,
    ):
        page.get_by_label(label).fill(value)
    page.get_by_role("button", name="Evaluate").tap()
    page.get_by_text("Kept: write friction").wait_for()
    assert [one.name for one in own_conditions(workshop.folder)] == ["bench-paste"]
    # Its drawing follows the look that is chosen on the device, and the device's own again.
    drawn = page.locator("picture img").first
    shown = {}
    for look in ("system", "dark", "strong", "light", "system"):
        page.locator("look-choice select").select_option(look)
        shown[look] = drawn.evaluate("one => one.currentSrc")
        assert shown["system"] == shown.get("light", shown["system"])
    assert len(set(shown.values())) == 3

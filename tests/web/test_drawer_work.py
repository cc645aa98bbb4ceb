"""The drawer's pages at work: choose, cover, feel, look over, enter; a second look at a job."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop, open_store
from clampwright.drawer import load_drawer

JOB = "trailer-wheel"
NEW = {
    "title": "Small",
    "kind": "click",
    "drive": "1/4 in",
    "unit": "Nm",
    "low": "5",
    "high": "25",
    "main_step": "5",
}


def kept(workshop: Workshop, kind: str) -> list[dict[str, Any]]:
    with open_store(workshop, write=False) as store:
        return [one["body"] for one in store.entries() if one["kind"] == kind]


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("/drawer", "/drawer/new"),
        ("/drawer/choose", "Torque with its unit"),
        ("/drawer/choose?torque=45+Nm&within=5", "Wanted at the fastener: 45 N·m"),
        ("/drawer/choose?torque=900+Nm", "its scale goes from"),
        ("/drawer/coverage", "The best single addition"),
        ("/drawer/by-feel?harm=3&soft=on", "Needs a torque wrench of small range"),
        ("/drawer/by-feel?harm=3&diameter=8", "Can be done by feel."),
        (
            "/drawer/look-over?moment=used&kind=beam",
            "No mark, file stroke or engraving",
        ),
        ("/drawer/look-over?moment=job&tool=click-60", "Put the check on the log"),
        ("/drawer/keep-or-replace?calibration=60&new=180&old_lasts=5", "cheaper by 12 a year"),
        ("/drawer/new", "Seven fields are enough"),
    ],
)
def test_pages(client: TestClient, path: str, said: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 200, answer.text
    assert said in answer.text


@pytest.mark.parametrize(
    ("path", "said"),
    [
        ("/drawer/choose?torque=45", "45"),
        ("/drawer/choose?torque=45+Nm&within=x", "number"),
        ("/drawer/choose?torque=45+Nm&harm=9", "Harm level 9 does not exist"),
        ("/drawer/choose?torque=-5+Nm", "above zero"),
        ("/drawer/by-feel?harm=7", "Harm level 7 does not exist"),
        ("/drawer/by-feel?harm=3&diameter=-1", "cannot be"),
        ("/drawer/look-over?moment=later", "is none of"),
        ("/drawer/keep-or-replace?calibration=60&new=180&chance=7", "Chance is 7"),
    ],
)
def test_bad_input_is_one_sentence_on_the_page(client: TestClient, path: str, said: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 422
    notice = answer.text.partition('role="alert">')[2].partition("</p>")[0]
    assert said.lower() in notice.lower()


def test_a_tool_is_entered_and_bad_input_changes_nothing(
    client: TestClient, workshop: Workshop
) -> None:
    before = workshop.drawer.read_bytes()
    for bad in (
        {**NEW, "main_step": "7"},
        {**NEW, "title": " "},
        {**NEW, "low": "five"},
        {**NEW, "high": "-25"},
        {**NEW, "drive": "5/8"},
        {**NEW, "unknown": "x"},
    ):
        answer = client.post("/api/drawer/tools", json=bad)
        assert answer.status_code == 422, bad
        assert answer.json()["error"]
    assert workshop.drawer.read_bytes() == before
    answer = client.post("/api/drawer/tools", json=NEW)
    assert (answer.status_code, answer.json()["to"]) == (201, "/drawer/click-25")
    assert workshop.drawer.read_bytes().startswith(before.rstrip())
    assert load_drawer(workshop.drawer.read_bytes(), "d").tool("click-25").scales[0].unit == "N·m"


def test_the_check_before_a_job_is_kept_once(
    client: TestClient, workshop: Workshop, wheel: Any
) -> None:
    entry = wheel.entry()
    body = {"right": ["look", "zero"], "note": "", "device": dict(wheel.device)}
    path = f"/api/drawer/tools/beam-200/look-overs/{entry}"
    first = client.put(path, json=body)
    assert (first.status_code, first.json()["not_right"]) == (201, ["date", "socket"])
    assert client.put(path, json=body).status_code == 200
    assert len(kept(workshop, "tool_looked_over")) == 1
    assert client.put(path, json={**body, "right": ["look"]}).status_code == 409
    bad = f"/api/drawer/tools/beam-200/look-overs/{wheel.entry()}"
    assert client.put(bad, json={**body, "right": ["wings"]}).status_code == 409
    gone = f"/api/drawer/tools/nobody/look-overs/{wheel.entry()}"
    assert client.put(gone, json=body).status_code == 409
    assert len(kept(workshop, "tool_looked_over")) == 1


def overrule(wheel: Any, tool: str, reason: str = "kept at hand", stage: int = 1) -> dict[str, Any]:
    where = {"joint": "wheel", "stage": stage}
    return {**where, "tool": tool, "reason": reason, "device": dict(wheel.device)}


def test_another_tool_is_taken_with_its_reason(
    opened: TestClient, workshop: Workshop, wheel: Any
) -> None:
    entry = wheel.entry()
    body = overrule(wheel, "electronic-200")
    assert wheel.put(opened, entry, body, "overrules").status_code == 201
    assert wheel.put(opened, entry, body, "overrules").status_code == 200
    assert opened.get(f"/api/jobs/{JOB}/bench").json()["steps"]["wheel/1"]["tool"]["id"] == (
        "electronic-200"
    )
    assert "Taken against the plan: kept at hand" in opened.get(f"/jobs/{JOB}").text
    assert "kept at hand" in opened.get(f"/jobs/{JOB}/record.txt").text
    assert [one["tool"] for one in kept(workshop, "tool_overruled")] == ["electronic-200"]
    plan = opened.get(f"/api/jobs/{JOB}").json()["plan"]["joints"][0]["stages"][0]
    assert plan["tool"] == "electronic-200"
    assert plan["tools"][0]["overruled"] == "kept at hand"


@pytest.mark.parametrize(
    ("tool", "reason", "stage", "status", "said"),
    [
        ("bar-12", "strong arm", 1, 409, "no reason changes that"),
        ("click-60", "  ", 1, 409, "give the reason"),
        ("nobody", "x", 1, 409, "has no choice"),
        ("click-60", "x", 99, 404, "no stage 99"),
    ],
)
def test_what_cannot_be_taken(  # noqa: PLR0917 - a row of the table
    opened: TestClient, wheel: Any, tool: str, reason: str, stage: int, status: int, said: str
) -> None:
    body = overrule(wheel, tool, reason, stage)
    answer = wheel.put(opened, wheel.entry(), body, "overrules")
    assert (answer.status_code, said in answer.json()["error"].lower()) == (status, True)


def test_a_second_person_reads_the_scale(
    opened: TestClient, workshop: Workshop, wheel: Any
) -> None:
    where = {"joint": "wheel", "stage": 1, "device": dict(wheel.device)}
    entry = wheel.entry()
    right = {**where, "value": "44,0", "unit": "N·m"}
    answer = wheel.put(opened, entry, right, "read-backs")
    assert (answer.status_code, answer.json()["agrees"]) == (201, True), answer.text
    again = wheel.put(opened, entry, right, "read-backs")
    assert (again.status_code, again.json()["told"]) == (200, answer.json()["told"])
    wrong = wheel.put(opened, wheel.entry(), {**right, "value": "49"}, "read-backs")
    assert wrong.json()["agrees"] is False
    assert "whole main marks" in wrong.json()["told"]
    for bad, status in ((("lots", "N·m"), 422), (("500", "N·m"), 422), (("44", "parsec"), 422)):
        body = {**where, "value": bad[0], "unit": bad[1]}
        assert wheel.put(opened, wheel.entry(), body, "read-backs").status_code == status
    assert [one["agrees"] for one in kept(workshop, "setting_read_back")] == [True, False]


def test_from_the_page_with_a_hand(handset: Any, nearby: Any, workshop: Workshop) -> None:
    """A wrench is entered, another tool taken and a scale read back, all by touch."""
    page: Page = handset.page
    page.goto(f"{nearby.address}/drawer/new")
    for name, text in NEW.items():
        field = page.locator(f"[name={name}]")
        if name in {"kind", "drive"}:
            field.select_option(text)
        else:
            field.fill(text if name != "main_step" else "7")
    page.get_by_role("button", name="Put it into the drawer").tap()
    expect(page.locator(".notice")).to_contain_text("do not meet 25")
    page.locator("[name=main_step]").fill("5")
    page.get_by_role("button", name="Put it into the drawer").tap()
    expect(page.locator("h1")).to_have_text("Small")
    page.goto(f"{nearby.address}/jobs/{JOB}")
    page.get_by_role("button", name="Begin this job").tap()
    page.wait_for_selector("bench-page[data-ready]")
    page.goto(f"{nearby.address}/jobs/{JOB}")
    stage = page.locator("li.stage").first
    stage.get_by_text("Take another tool for this stage").tap()
    stage.locator("select[name=tool]").select_option("electronic-200")
    stage.locator("input[name=reason]").fill("kept at hand")
    stage.get_by_role("button", name="Take it").tap()
    expect(page.locator("li.stage").first).to_contain_text("Taken against the plan: kept at hand")
    stage = page.locator("li.stage").first
    stage.get_by_text("Let a second person read the scale").tap()
    stage.locator("input[name=value]").fill("45,0")
    stage.get_by_role("button", name="Compare").tap()
    expect(stage.locator("form[data-send*=read-backs] .notice")).to_contain_text("Both read")
    assert [one["tool"] for one in kept(workshop, "setting_read_back")] == ["electronic-200"]


def test_the_card_is_spoken(handset: Any, nearby: Any) -> None:
    page: Page = handset.page
    page.add_init_script(
        "window.spoken = []; speechSynthesis.speak = (words) => window.spoken.push(words.text);"
    )
    page.goto(f"{nearby.address}/drawer/choose?torque=45+Nm&within=5")
    page.get_by_role("button", name="Say it aloud").first.tap()
    (said,) = page.evaluate("window.spoken")
    assert "Wanted at the fastener: 45 N·m." in said
    assert "Then lock." in said


def test_the_bench_speaks_its_card(handset: Any, nearby: Any) -> None:
    page: Page = handset.page
    page.add_init_script(
        "window.spoken = []; speechSynthesis.speak = (words) => window.spoken.push(words.text);"
    )
    page.goto(f"{nearby.address}/jobs/{JOB}")
    page.get_by_role("button", name="Begin this job").tap()
    page.get_by_role("link", name="Go through the list").tap()
    page.get_by_text("Go on without the open points").tap()
    page.locator("#pass-reason").fill("gone through on paper")
    page.get_by_role("button", name="Go on with this reason").tap()
    page.get_by_role("button", name="Setting card").tap()
    page.locator("dialog[open]").get_by_role("button", name="Say it aloud").tap()
    (said,) = page.evaluate("window.spoken")
    assert "Set 44.0 N·m." in said


def test_a_paper_is_kept_with_its_tool(client: TestClient, workshop: Workshop) -> None:
    before = workshop.drawer.read_bytes()
    path = "/api/drawer/tools/click-60/papers/"
    raw = {"content-type": "application/octet-stream"}
    pdf = b"%PDF-1.7 invented"
    for kind, data, status in (
        ("certificate", b"MZ no paper", 422),
        ("photograph", pdf, 422),
        ("poster", pdf, 422),
        ("certificate", b"", 422),
        ("certificate", b"%PDF-" + bytes(300_000), 413),
    ):
        answer = client.put(path + kind, content=data, headers=raw)
        assert (answer.status_code, bool(answer.json()["error"])) == (status, True), answer.text
    gone = client.put("/api/drawer/tools/nobody/papers/certificate", content=pdf, headers=raw)
    assert gone.status_code == 409
    assert workshop.drawer.read_bytes() == before
    assert client.put(path + "certificate", content=pdf, headers=raw).status_code == 201
    assert client.put(path + "certificate", content=pdf, headers=raw).status_code == 409
    assert "certificate: tool-papers/" in client.get("/drawer/click-60").text


def test_a_large_photograph_is_made_small_on_the_device(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    page.goto(f"{nearby.address}/drawer/click-60")
    page.get_by_text("Keep a photograph or certificate").tap()
    # A noisy picture made in the page itself, far above what one request may hold.
    page.evaluate(
        """async () => {
          const canvas = document.createElement("canvas");
          canvas.width = canvas.height = 900;
          const context = canvas.getContext("2d");
          const noise = context.createImageData(900, 900);
          for (let at = 0; at < noise.data.length; at += 1) noise.data[at] = Math.random() * 256;
          context.putImageData(noise, 0, 0);
          const blob = await new Promise((done) => canvas.toBlob(done, "image/png"));
          const files = new DataTransfer();
          files.items.add(new File([blob], "photo.png", { type: "image/png" }));
          document.getElementById("paper-file").files = files.files;
          return blob.size;
        }"""
    )
    page.get_by_role("button", name="Keep it").tap()
    expect(page.locator("main")).to_contain_text("photograph: tool-papers/")
    (kept,) = (workshop.folder / "tool-papers").iterdir()
    assert kept.suffix == ".jpg"
    assert kept.stat().st_size < 200_000

"""The page that verifies a record, on a phone: nothing leaves it, and it says what holds."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from looked_over import clean
from outside import Authority
from playwright.sync_api import Page, expect
from starlette.testclient import TestClient

from clampwright.proof.timestamp import stamp_request
from clampwright.proof.verification import verify

JOB = "trailer-wheel"


@pytest.fixture
def record(opened: TestClient, wheel: Any, tmp_path: Path) -> Path:
    wheel.settle(opened, 1)
    path = tmp_path / "wheel.json"
    path.write_bytes(opened.get(f"/jobs/{JOB}/record.json").content)
    return path


def test_a_whole_and_an_altered_record(handset: Any, nearby: Any, record: Path) -> None:
    page: Page = handset.page
    page.goto(f"{nearby.address}/")
    page.get_by_role("link", name="Verify a record").tap()
    page.wait_for_load_state("networkidle")
    handset.asked.clear()
    clean(page, "before a file")
    page.get_by_role("button", name="Verify", exact=True).tap()
    expect(page.locator("#verdict")).to_contain_text("Choose a record file first.")
    page.get_by_label("Record file").set_input_files(record)
    verdict = page.locator("#verdict")
    expect(verdict).to_contain_text("As it was signed: nothing was altered since.")
    expect(verdict).to_contain_text("First: whose key is it?")
    expect(verdict).to_contain_text(verify(record.read_bytes()).fingerprint or "?")
    expect(verdict).to_contain_text("What this cannot show")
    expect(verdict).to_be_focused()
    clean(page, "a whole record")
    content = json.loads(record.read_bytes())
    content["entries"][4]["entry"]["recorded"] = "2026-10-05T08:00:01Z"
    altered = record.with_name("altered.json")
    altered.write_text(json.dumps(content), encoding="utf-8")
    page.get_by_label("Record file").set_input_files(altered)
    expect(verdict).to_contain_text("NOT as it was signed.")
    expect(verdict).to_contain_text("Entry 5 of the file is not what was signed.")
    expect(verdict).not_to_contain_text("What holds")
    clean(page, "an altered record")
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert handset.asked == [], "nothing is sent"
    page.get_by_label("Record file").set_input_files(record)
    expect(verdict).to_contain_text("As it was signed")


def test_a_key_that_is_demanded_and_a_head_that_was_kept(
    handset: Any, nearby: Any, record: Path
) -> None:
    page: Page = handset.page
    page.goto(f"{nearby.address}/verify")
    key = page.get_by_label("Key it must be signed with")
    verdict = page.locator("#verdict")
    content = json.loads(record.read_bytes())
    page.get_by_label("Record file").set_input_files(record)
    key.fill("my key")
    key.press("Enter")  # all of it works from the keyboard
    expect(verdict).to_contain_text("That is no key")
    key.fill("0" * 64)
    key.press("Enter")
    expect(verdict).to_contain_text("signed with another key than the one you asked for")
    expect(verdict).not_to_contain_text("This is the key you asked for.")
    key.fill(content["key"])
    key.press("Enter")
    expect(verdict).to_contain_text("This is the key you asked for.")
    head = record.with_name("head.txt")
    head.write_text(content["checkpoint"], encoding="utf-8")
    other = record.with_name("other.txt")
    lines = content["checkpoint"].split("\n")
    other.write_text("\n".join([lines[0], lines[1], "A" * 43 + "=", *lines[3:]]), encoding="utf-8")
    page.get_by_label("Heads of the log").set_input_files(head)
    expect(verdict).to_contain_text("head.txt: the same head")
    expect(verdict).to_contain_text("As it was signed")
    page.get_by_label("Heads of the log").set_input_files([head, other])
    expect(verdict).to_contain_text("other.txt: the log went another way.")
    expect(verdict).to_contain_text("NOT as it was signed.")
    authority = Authority(record.with_name("authority"))
    stamp, wrong = record.with_name("own.tsr"), record.with_name("wrong.tsr")
    stamp.write_bytes(authority.answer(stamp_request(content["checkpoint"]).data))
    page.get_by_label("Heads of the log").set_input_files([stamp])
    expect(verdict).to_contain_text("own.tsr: a time stamp over the head of this record. Its")
    expect(verdict).to_contain_text("As it was signed")
    imprint = stamp_request(content["checkpoint"]).imprint
    wrong.write_bytes(stamp.read_bytes().replace(imprint, bytes(32)))
    page.get_by_label("Heads of the log").set_input_files([wrong])
    expect(verdict).to_contain_text("wrong.tsr: a time stamp over none of the heads given.")
    expect(verdict).to_contain_text("NOT as it was signed.")


def test_the_record_in_a_paper(handset: Any, nearby: Any, opened: TestClient, record: Path) -> None:
    page: Page = handset.page
    paper = record.with_suffix(".pdf")
    paper.write_bytes(opened.get(f"/jobs/{JOB}/record.pdf").content)
    page.goto(f"{nearby.address}/verify")
    page.get_by_label("Record file").set_input_files(paper)
    verdict = page.locator("#verdict")
    expect(verdict).to_contain_text("As it was signed: nothing was altered since.")
    expect(verdict).to_contain_text("clampwright verify makes the paper again and compares.")
    data = paper.read_bytes()
    at = data.index(b"/EmbeddedFile") + 400
    damaged = paper.with_name("damaged.pdf")
    damaged.write_bytes(data[:at] + bytes(64) + data[at + 64 :])
    page.get_by_label("Record file").set_input_files(damaged)
    expect(verdict).to_contain_text("no paper of this program, or the record attached to it is")


def test_a_record_that_is_dropped(handset: Any, nearby: Any, record: Path) -> None:
    page: Page = handset.page
    page.goto(f"{nearby.address}/verify")
    page.evaluate(
        """text => {
          const carried = new DataTransfer();
          carried.items.add(new File([text], "dropped.json"));
          const event = new DragEvent("drop", { dataTransfer: carried, bubbles: true });
          document.getElementById("drop").dispatchEvent(event);
        }""",
        record.read_text(encoding="utf-8"),
    )
    expect(page.locator("#verdict")).to_contain_text("File: dropped.json")
    expect(page.locator("#verdict")).to_contain_text("As it was signed")

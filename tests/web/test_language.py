"""Every request is answered in the language of the person who asks, figures and days included."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING, Any

import pytest
from lxml import html  # type: ignore[import-untyped]  # it ships no types

from clampwright.web.tongue import COOKIE, wanted

if TYPE_CHECKING:
    from playwright.sync_api import Page
    from starlette.testclient import TestClient

GERMAN = {"accept-language": "de-DE,de;q=0.9,en;q=0.8"}
JOB = "trailer-wheel"
OWN = "http://127.0.0.1:8123"


def told(page: str) -> str:
    tree = html.fromstring(page)
    for script in tree.xpath("//script"):
        script.drop_tree()
    return " ".join(tree.text_content().split())


@pytest.mark.parametrize(
    ("headers", "tag", "title"),
    [
        ({}, "en", "Jobs"),
        ({"accept-language": "fr"}, "en", "Jobs"),
        (GERMAN, "de", "Aufträge"),
        ({"accept-language": "de-CH"}, "de-CH", "Aufträge"),
        ({"accept-language": "en", "cookie": f"{COOKIE}=de"}, "de", "Aufträge"),
        ({**GERMAN, "cookie": f"other=1; {COOKIE}=en"}, "en", "Jobs"),
        ({**GERMAN, "cookie": f"{COOKIE}=xx"}, "de", "Aufträge"),
        ({"cookie": f"{COOKIE}=../../de"}, "en", "Jobs"),
    ],
)
def test_a_page_is_in_the_language_asked_for(
    client: TestClient, headers: dict[str, str], tag: str, title: str
) -> None:
    page = client.get("/", headers=headers).text
    assert f'<html lang="{tag}">' in page
    assert f"<title>{title} · Clampwright</title>" in page
    script = re.search(r'id="words">(.*?)</script>', page)
    assert script is not None
    assert (json.loads(script[1])["fastener"] == "Fastener {number}") == tag.startswith("en")


def test_without_a_wish_the_servers_own_language_is_spoken(
    client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CLAMPWRIGHT_LANG", "de")
    assert '<html lang="de">' in client.get("/").text
    assert '<html lang="en">' in client.get("/", headers={"accept-language": "en"}).text


def test_a_field_that_comes_twice_is_one_list() -> None:
    fields = [(b"accept-language", b"de;q=0.5"), (b"accept-language", b"en-GB;q=0.6")]
    assert wanted(fields) == "en_GB"
    assert wanted([(b"cookie", f"{COOKIE}={'d' * 10_000}".encode())]) is None


def test_errors_are_told_in_the_language_too(client: TestClient) -> None:
    english = client.get("/api/jobs/none").json()["error"]
    german = client.get("/api/jobs/none", headers=GERMAN).json()["error"]
    assert english != german
    # Refused by the guard, before the application is reached.
    foreign = client.get("/", headers={**GERMAN, "host": "elsewhere"}).json()["error"]
    assert foreign.startswith("dieser Server")


@pytest.mark.parametrize(
    ("accept", "load", "day"),
    [
        ("en", "8.8 to 18.0 kN", "calibrated until 2027-"),
        ("de", "8,8 bis 18,0 kN", ".2027"),
        ("de-CH", "8.8 bis 18.0 kN", ".2027"),
    ],
)
def test_figures_and_days_are_written_as_in_the_region(
    client: TestClient, accept: str, load: str, day: str
) -> None:
    headers = {"accept-language": accept}
    assert load in told(client.get(f"/jobs/{JOB}", headers=headers).text)
    assert day in told(client.get("/drawer", headers=headers).text)


def test_what_is_typed_or_read_by_a_program_is_the_same_in_every_language(
    opened: TestClient,
) -> None:
    for path in ("/find?since=2026-03-01", f"/api/jobs/{JOB}", "/practice/what-if"):
        english = opened.get(path, headers={"accept-language": "en"}).text
        german = opened.get(path, headers=GERMAN).text
        if path.startswith("/api"):
            assert figures(json.loads(english)) == figures(json.loads(german))
        else:
            fields = r'<input[^>]*value="([^"]*)"'
            assert re.findall(fields, english) == re.findall(fields, german)


def figures(node: Any) -> list[Any]:
    """All numbers of plain data, in their order."""
    if isinstance(node, dict):
        return [one for value in node.values() for one in figures(value)]
    if isinstance(node, list):
        return [one for value in node for one in figures(value)]
    return [node] if isinstance(node, int | float) else []


def test_a_typed_comma_is_taken_whatever_the_language(opened: TestClient, wheel: Any) -> None:
    wheel.settle(opened, 1)
    body = wheel.value(1, "90,5")
    taken = opened.put(f"/api/jobs/{JOB}/pulls/{wheel.entry()}", json=body, headers=GERMAN).json()
    verdict = taken["verdict"]
    assert (verdict["verdict"], verdict["word"]) == ("within", "im Ziel")
    assert "90,6 N·m" in " ".join(verdict["reasons"])


def test_two_pages_of_a_job_hear_the_same_pull_each_in_its_language(
    opened: TestClient, wheel: Any
) -> None:
    wheel.settle(opened, 1)
    address = f"ws://127.0.0.1:8123/live/{JOB}"
    start = {"pull": {"joint": "wheel", "stage": 2, "fastener": 1}, "tool": "electronic-200",
             "entry": wheel.entry()}  # fmt: skip
    with (
        opened.websocket_connect(address) as english,
        opened.websocket_connect(address, headers={**GERMAN, "origin": OWN}) as german,
    ):
        english.send_text(json.dumps(start))
        heard = {one: json.loads(one.receive_text())["live"] for one in (english, german)}
        assert heard[english]["told"] == "turn on"
        assert heard[german]["told"] != "turn on"
        assert heard[english]["say"] == heard[german]["say"] == "turn"
        english.send_text('{"cancel": true}')
        stopped = [hear(one, "stopped") for one in (english, german)]
    assert stopped[0].startswith("The pull was broken off")
    assert stopped[1] != stopped[0]


def hear(socket: Any, kind: str) -> Any:
    while True:
        message = json.loads(socket.receive_text())
        if kind in message:
            return message[kind]


def test_the_language_is_chosen_on_the_device_and_kept_there(
    german_handset: Any, nearby: Any
) -> None:
    page: Page = german_handset.page
    page.goto(f"{nearby.address}/jobs/{JOB}")
    assert page.locator("html").get_attribute("lang") == "de"
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    choice = page.locator("language-choice select")
    assert set(choice.locator("option").all_text_contents()[1:]) == {"English", "Deutsch"}
    choice.select_option("en")
    page.wait_for_function("() => document.documentElement.lang === 'en'")
    page.goto(f"{nearby.address}/drawer")
    assert page.locator("h1").text_content() == "Drawer"
    assert page.locator("language-choice select").input_value() == "en"
    page.locator("language-choice select").select_option("")
    page.wait_for_function("() => document.documentElement.lang === 'de'")
    told = page.evaluate(
        """async (address) => {
          const { told } = await import(address);
          return ["31.5 N·m", 4.25, "1.5 – 2.5 kN", "10.9", "M10×1.25", "sheet 1.5 a"].map(told);
        }""",
        page.locator("script[src*='language-choice']").evaluate(
            "script => script.src.replace('language-choice', 'told')"
        ),
    )
    assert told == ["31,5 N·m", "4,25", "1,5 – 2,5 kN", "10,9", "M10×1.25", "sheet 1.5 a"]

"""Pages and API of practice: what they ask, keep and show; clean in each look, at three sizes."""

from __future__ import annotations

import csv
import io
import json
import re
import urllib.request
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
from click.testing import CliRunner
from looked_over import clean, complaints
from playwright.sync_api import Page, expect
from starlette.testclient import TestClient
from tests.web.conftest import HOST, OWN

from clampwright.bench.folder import Workshop
from clampwright.bench.practice import PracticeBook
from clampwright.cli.practice_send import command as send_command
from clampwright.practice.lesson import first_lesson
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.web.app import create_app
from clampwright.web.live_peaks import LivePeaks
from clampwright.web.practice_pages import EXAMPLE

WHO = {"class": "evening", "learner": "7"}
WHAT_IF = f"/practice/what-if?{urlencode(EXAMPLE)}"


def text_of(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def post(client: TestClient, **sent: str) -> Any:
    headers = {"content-type": "application/x-www-form-urlencoded"}
    return client.post("/practice/exercise", content=urlencode(sent), headers=headers)


def put(client: TestClient, exercise: str, answer: dict[str, str], **more: Any) -> Any:
    entry, learner = more.get("entry") or uuid7(), more.get("learner", "7")
    body = {"learner": learner, "exercise": exercise, "answer": answer}
    return client.put(f"/api/practice/classes/evening/answers/{entry}", json=body)


def test_the_start_leads_to_lessons_exercises_and_classes(client: TestClient) -> None:
    page = client.get("/practice").text
    for way in ("/practice/lessons/first", "/practice/other?kind=fault", "/practice/what-if"):
        assert way in page
    assert "Torque and clamp load" in page
    lesson = client.get(f"/practice/lessons/first?{urlencode(WHO)}").text
    assert lesson.count("/practice/exercise?exercise=first/") == len(first_lesson().exercises)
    assert "class=evening&amp;learner=7" in lesson or "class=evening&learner=7" in lesson


def test_a_try_by_hand_is_told_kept_once_and_evaluated(
    client: TestClient, workshop: Workshop
) -> None:
    sent = {"exercise": "first/1", "entry": uuid7(), "reached": "23,5 Nm", **WHO}
    first = post(client, **sent)
    assert first.status_code == 200
    assert "6.0 % too little" in text_of(first.text)
    assert "Kept for the class" in first.text
    assert "One try says nothing about scatter" in text_of(first.text)
    again = post(client, **sent)
    assert "kept before" in again.text
    assert len(PracticeBook(workshop.folder).results("evening")) == 1
    assert not (workshop.folder / "workshop.sqlite").exists()


def test_bad_answers_are_told_on_the_page_and_the_typing_stays(client: TestClient) -> None:
    answer = post(client, exercise="first/1", entry=uuid7(), reached="23.5", **WHO)
    assert answer.status_code == 422
    assert "no unit" in answer.text
    assert 'value="23.5"' in answer.text
    half = post(client, exercise="first/1", entry=uuid7(), reached="23 Nm", learner="7")
    assert half.status_code == 422
    assert "class and number" in text_of(half.text)
    assert client.get("/practice/exercise?exercise=first/99").status_code == 404
    assert client.get("/practice/lessons/none").status_code == 404
    assert client.get("/practice/other?kind=shout").status_code == 404
    assert client.get(f"/practice?{urlencode({'class': 'UP', 'learner': '7'})}").status_code == 422


def test_an_estimate_is_scored_beside_the_band(client: TestClient) -> None:
    asked = client.get("/practice/exercise?exercise=first/2").text
    assert "20.0" not in asked, "the band is not told before"
    answer = post(client, exercise="first/2", entry=uuid7(), low="20 kN", high="32.8 kN")
    assert "100 of 100 points" in text_of(answer.text)
    assert "5 to 95 %" in text_of(answer.text)
    assert "Not kept" in answer.text


def test_a_fault_is_explained_by_the_curve(client: TestClient) -> None:
    asked = client.get("/practice/exercise?exercise=first/5").text
    assert asked.count('type="radio"') == 6
    assert "runs on" not in text_of(asked)
    answer = text_of(post(client, exercise="first/5", entry=uuid7(), said="normal", **WHO).text)
    assert "It is something else" in answer
    assert "while the handle runs on" in answer
    assert "What the program reads from the curve" in answer


def test_free_exercises_are_drawn_by_chance_and_can_be_shared(client: TestClient) -> None:
    away = client.get("/practice/other?kind=clamp", follow_redirects=False)
    assert away.status_code == 303
    assert re.search(r"exercise=clamp%3A\d+", away.headers["location"])
    feel = client.get("/practice/other?kind=feel&aim=18+lbf·ft")
    assert "Pull by hand to 18" in text_of(feel.text)
    assert client.get("/practice/other?kind=feel&aim=18").status_code == 422


def test_what_if_says_what_the_command_says_and_goes_on_paper(client: TestClient) -> None:
    page = client.get(WHAT_IF)
    data = client.get(f"/api/practice/what-if?{urlencode(EXAMPLE)}").json()
    for line in data["says"]:
        assert line in text_of(page.text)
    assert page.text.count('class="post"') == 8
    for load in data["changed"]["clamp_N"]:
        assert f"{load / 1000:.1f}" in page.text
    (way,) = re.findall(r'href="(/practice/what-if\.pdf[^"]+)"', page.text)
    assert client.get(unescape(way)).content.startswith(b"%PDF-")
    half = client.get(f"/practice/what-if?{urlencode(EXAMPLE | {'torque': ''})}")
    assert half.status_code == 422
    assert "“Torque, or snug torque where an angle follows” is needed here" in text_of(half.text)


def test_a_class_is_shown_and_handed_out(client: TestClient) -> None:
    for learner, reached in (("12", "27 Nm"), ("7", "23 Nm"), ("7", "24 Nm")):
        assert put(client, "first/1", {"reached": reached}, learner=learner).status_code == 201
    put(client, "first/9", {"foreseen": "=1+1"}, learner="7")
    page = client.get("/practice/classes/evening").text
    assert page.index('scope="row">7<') < page.index('scope="row">12<')
    table = client.get("/practice/classes/evening/results.csv")
    assert "attachment" in table.headers["content-disposition"]
    rows = list(csv.reader(io.StringIO(table.content.decode("utf-8-sig"))))
    assert len(rows) == 5
    assert "'=1+1" in rows[4]
    data = json.loads(client.get("/practice/classes/evening/results.json").content)
    assert [one["learner"] for one in data["learners"]] == ["7", "12"]
    assert client.get("/api/practice/classes").json() == {"classes": ["evening"]}
    study = client.get("/api/practice/classes/evening/learners/7/feel").json()
    assert study["tries"] == 2
    assert "Nobody of this class" in client.get("/practice/classes/nobody").text
    assert client.get("/practice/classes/UP").status_code == 422


def test_the_api_asks_without_telling_and_takes_once(client: TestClient) -> None:
    asked = client.get("/api/practice/question?exercise=first/5").json()
    assert len(asked["choices"]) == 6
    assert not {"truth", "fault", "seed"} & set(asked)
    assert len(asked["torque_Nm"]) == len(asked["angle_deg"]) > 20
    entry = uuid7()
    first = put(client, "first/5", {"said": "slip_off"}, entry=entry)
    assert (first.status_code, first.json()["outcome"]["points"]) == (201, 100)
    assert put(client, "first/5", {"said": "slip_off"}, entry=entry).status_code == 200
    other = put(client, "first/5", {"said": "normal"}, entry=entry)
    assert other.status_code == 409
    assert put(client, "first/5", {"said": "normal"}, learner="<b>").status_code == 422
    lessons = client.get("/api/practice/lessons").json()["lessons"]
    assert lessons[0]["exercises"][0] == {
        "exercise": "first/1", "kind": "feel", "title": "Pull by hand to 25 N·m"
    }  # fmt: skip


def test_a_live_torque_is_shown_with_its_age_and_forgotten(client: TestClient) -> None:
    for torque in (3.0, 18.0, 12.0):
        sent = client.put("/api/practice/live/wrench", json={"torque": torque, "unit": "lbf·ft"})
    assert sent.json()["highest_Nm"] == pytest.approx(18.0 * 1.3558179483)
    (shown,) = client.get("/api/practice/live").json()["sources"]
    assert (shown["highest"], shown["fresh"]) == ("18.0 ft·lbf", True)
    bad = client.put("/api/practice/live/wrench", json={"torque": 3.0, "unit": "kN"})
    assert bad.status_code == 422


def test_a_device_of_its_own_sends_lines_to_the_page(nearby: Any) -> None:
    port = nearby.address.rpartition(":")[2]
    sent = "0 0 0\nbattery low\n500 21.5 3\n600 3.0 4\n"
    form = ["--lines", "time 1 ms; torque 2 N·m; angle 3 deg", "--name", "long bar"]
    done = CliRunner().invoke(send_command, [*form, "--port", port], input=sent)
    assert done.exit_code == 0, done.output
    assert "3 samples, highest of the last pull 21.5 N·m" in done.output
    with urllib.request.urlopen(f"{nearby.address}/api/practice/live") as answer:  # noqa: S310 - our own server
        (shown,) = json.load(answer)["sources"]
    assert (shown["name"], shown["highest"]) == ("long bar", "21.5 N·m")


def test_on_a_network_a_class_practises_without_signing_in(workshop: Workshop) -> None:
    with Store.open(workshop.folder, create=True) as store:
        before = store.head()
    app = create_app(workshop.folder, hosts=[HOST], patience=0.2, sign_in=True)
    with TestClient(app, base_url=OWN, headers={"origin": OWN}) as stranger:
        for path in ("/practice", "/practice/lessons/first", "/practice/exercise?exercise=first/2"):
            assert stranger.get(path, follow_redirects=False).status_code == 200
        assert put(stranger, "first/1", {"reached": "23 Nm"}).status_code == 201
        assert post(stranger, exercise="first/1", entry=uuid7(), reached="24 Nm", **WHO).is_success
        for path in ("/practice/classes/evening", "/practice/classes/evening/results.csv"):
            assert stranger.get(path, follow_redirects=False).status_code == 303
        assert stranger.get("/api/practice/classes/evening").status_code == 401
    with Store.open(workshop.folder, write=False) as store:
        assert store.head() == before


def test_a_stale_value_begins_a_new_pull() -> None:
    peaks = LivePeaks()
    peaks.take("a", 30.0, "N·m", now=0.0)
    assert peaks.shown(now=2.5)[0]["fresh"] is False
    assert peaks.take("a", 5.0, "N·m", now=3.0).highest == 5.0
    assert peaks.shown(now=70.0) == []


PAGES = (
    "/practice",
    "/practice/lessons/first",
    "/practice/exercise?exercise=first/1&class=evening&learner=7",
    "/practice/exercise?exercise=first/2",
    "/practice/exercise?exercise=first/5",
    "/practice/exercise?exercise=first/9",
    WHAT_IF,
    "/practice/classes/evening",
    "/practice/classes/evening/wall",
)


def in_class(workshop: Workshop) -> None:
    """Fill a class by what the shipped exercises take."""
    folder = workshop.folder / "practice"
    folder.mkdir()
    rows = []
    for day in (4, 5, 6):
        for n, reached in enumerate((22.0, 24.0, 26.0)):
            outcome = {"aimed_Nm": 25.0, "reached_Nm": reached, "length_mm": 300.0 + 200 * (n % 2),
                       "posture": "down" if n else "kneeling"}  # fmt: skip
            rows.append({
                "id": uuid7(), "learner": "7", "time": f"2026-05-0{day}T18:0{n}:00+00:00",
                "kind": "feel", "exercise": "first/1", "answer": {"reached": f"{reached} Nm"},
                "outcome": outcome,
            })  # fmt: skip
    text = "".join(json.dumps(row) + "\n" for row in rows)
    (folder / "evening.jsonl").write_text(text, encoding="utf-8")


WIDE = (
    "/practice/exercise?exercise=first/1&class=evening&learner=7",
    "/practice/exercise?exercise=first/5",
    WHAT_IF,
    "/practice/classes/evening/wall",
)
"""Pages with drawings of our own, looked at on a desktop by night as well."""


def test_every_page_is_clean_and_nothing_runs_out_of_the_side(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    in_class(workshop)
    page: Page = handset.page
    for path in PAGES:
        page.set_viewport_size({"width": 390, "height": 900})
        page.goto(nearby.address + path)
        clean(page, path)
        for width in (390, 1440, 820):
            page.set_viewport_size({"width": width, "height": 900})
            if width == 1440 and path in WIDE:
                page.emulate_media(color_scheme="dark")
                assert complaints(page) == [], (path, width)
            assert page.evaluate("document.documentElement.scrollWidth") <= width, (path, width)
        page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")
        assert page.evaluate("document.documentElement.scrollWidth") <= 820, (path, "large text")


def test_a_learner_answers_by_touch_and_takes_the_live_value(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    page.goto(f"{nearby.address}/practice/exercise?exercise=first/1&{urlencode(WHO)}")
    page.evaluate(
        """() => fetch("/api/practice/live/wrench", {method: "PUT",
        headers: {"content-type": "application/json"},
        body: JSON.stringify({torque: 24.2, unit: "N·m"})})"""
    )
    page.get_by_role("button", name="Take the highest").tap()
    expect(page.locator("#in-reached")).to_have_value("24.2 N·m")
    page.get_by_role("button", name="That is my answer").tap()
    expect(page.locator(".came")).to_contain_text("3.2 % too little")
    clean(page, "a try answered")
    page.goto(f"{nearby.address}/practice/exercise?exercise=first/5&{urlencode(WHO)}")
    page.get_by_text("the socket slipped off").tap()
    page.get_by_role("button", name="That is my answer").tap()
    expect(page.locator(".came")).to_contain_text("Right.")
    clean(page, "a fault found")
    book = PracticeBook(workshop.folder)
    assert [one.kind for one in book.results("evening")] == ["feel", "fault"]


def test_a_lesson_of_the_teacher_is_served_and_a_broken_one_says_why(
    client: TestClient, workshop: Workshop
) -> None:
    lessons = workshop.folder / "practice" / "lessons"
    lessons.mkdir(parents=True)
    example = Path("examples/lessons/wheel-evening.toml")
    (lessons / "wheel-evening.toml").write_bytes(example.read_bytes())
    (lessons / "broken.toml").write_text('titel = "x"\n')
    page = client.get("/practice").text
    assert "An evening on wheel nuts" in page
    assert "did you mean title?" in unescape(page)
    assert client.get("/practice/lessons/broken").status_code == 422

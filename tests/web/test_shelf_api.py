"""The shelf over the API: exactly once, by content, refused in words with nothing stored."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from postgres import on_both
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.shelf import LONGEST_TEXT
from clampwright.proof.ids import uuid7
from clampwright.store.where import has_log
from clampwright.web.guard import LARGER, LARGEST_BODY

DEVICE = {"id": "device-0123456789ab", "time": "2026-10-05T08:00:00.000Z", "counter": 1}
PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + (8).to_bytes(4, "big") * 2 + bytes(40)
TEXT = "Oil the threads. Torque the bolts to 20 lbs."
FILES = "/api/procedures/files?name=page.png"


def entry() -> str:
    return str(uuid7())


def version(**more: Any) -> dict[str, Any]:
    body = {
        "title": "Gauge cover",
        "text": TEXT,
        "locale": "en",
        "choice": 2,
        "source": {"title": "Leaflet (invented)"},
        "by": "A. Fitter",
        "device": DEVICE,
    }
    return {**body, **more}


def shelve(client: TestClient, name: str | None = None, **more: Any) -> Any:
    return client.put(f"/api/procedures/versions/{name or entry()}", json=version(**more))


def job(sha256: str) -> dict[str, Any]:
    return {
        "sha256": sha256,
        "title": "Gauge cover back on",
        "machine": "Compressor (invented)",
        "layout": {"pattern": "circle", "count": 4, "diameter_mm": "60,5"},
        "fastener": {
            "thread": "M6",
            "strength": "8.8",
            "head": "ISO 4014/4017",
            "friction": "oiled",
        },
        "harm_level": 3,
        "torque_percent": "8",
        "angle_deg": "5",
    }


def kinds(place: Workshop) -> list[str]:
    if not has_log(place.folder):
        return []
    with open_store(place, write=False) as store:
        return [one["kind"] for one in store.entries() if "procedure" in one["kind"]]


def test_a_reading_says_all_and_keeps_nothing(client: TestClient, workshop: Workshop) -> None:
    fastener = {"thread": "M6", "strength": "8.8", "head": "ISO 4014/4017"}
    body = {"text": TEXT, "locale": "en", "fastener": fastener}
    found = client.post("/api/procedures/reading", json=body).json()
    assert found["status"] == "ambiguous"
    assert "".join(piece["text"] for piece in found["pieces"]) == TEXT
    feet, inches = found["ask"]["answers"]
    assert (feet["text"], feet["numbers"], feet["then"]) == ("torque 20 ft·lbf", [1], None)
    assert "% of proof load" in inches["informs"][0]
    assert found["readings"] == [["torque 20 ft·lbf"], ["torque 20 in·lbf"]]
    assert not (workshop.folder / "workshop.sqlite").exists()


def test_an_unknown_thread_is_told_beside_the_reading(client: TestClient) -> None:
    body = {"text": TEXT, "locale": "en", "fastener": {"thread": "M99", "head": "ISO 4014"}}
    found = client.post("/api/procedures/reading", json=body).json()
    assert "M99" in found["fastener_problem"]
    assert len(found["ask"]["answers"]) == 2


def test_kept_once_however_often_it_is_sent(client: TestClient, workshop: Workshop) -> None:
    name = entry()
    first = shelve(client, name)
    assert first.status_code == 201
    assert first.json()["procedure"] == "gauge-cover"
    again = shelve(client, name)
    assert (again.status_code, again.json()) == (200, first.json())
    other = shelve(client, name, choice=1)
    assert other.status_code == 409
    assert kinds(workshop) == ["procedure_shelved"]
    listed = client.get("/api/procedures?find=GAUGE").json()["procedures"]
    assert [one["sha256"] for one in listed] == [first.json()["sha256"]]
    assert client.get("/api/procedures?find=zebra").json() == {"procedures": []}


def test_an_open_question_is_told_with_its_readings(client: TestClient, workshop: Workshop) -> None:
    answer = shelve(client, choice=None)
    assert answer.status_code == 422
    assert answer.json()["readings"] == ["torque 20 ft·lbf", "torque 20 in·lbf"]
    assert kinds(workshop) == []


@pytest.mark.parametrize(
    ("more", "status"),
    [
        ({"choice": 3}, 422),
        ({"choice": 0}, 422),
        ({"text": "see the other leaflet", "choice": None}, 422),
        ({"text": "x" * (LONGEST_TEXT + 1)}, 422),
        ({"text": "30 Nm " * 200_000, "choice": None}, 413),
        ({"title": " "}, 422),
        ({"source": {"title": ""}}, 422),
        ({"by": "  "}, 422),
        ({"locale": "../.."}, 422),
        ({"procedure": "no-such"}, 404),
        ({"files": [{"sha256": "0" * 64, "name": "x.png"}]}, 422),
        ({"surprise": 1}, 422),
    ],
)
def test_what_cannot_be_kept_stores_nothing(
    client: TestClient, workshop: Workshop, more: dict[str, Any], status: int
) -> None:
    answer = shelve(client, **more)
    assert answer.status_code == status, answer.text
    assert answer.json()["error"]
    assert kinds(workshop) == []
    assert not (workshop.folder / "names.json").exists()


def test_a_file_is_kept_by_its_content_and_shown_as_what_it_is(client: TestClient) -> None:
    kept = client.post(FILES, content=PNG)
    assert kept.status_code == 201
    assert client.post(FILES, content=PNG).json() == kept.json()
    file = {"sha256": kept.json()["sha256"], "name": "page.png"}
    shelve(client, files=[file])
    shown = client.get(f"/procedures/gauge-cover/files/{file['sha256']}")
    assert shown.content == PNG
    assert shown.headers["content-type"] == "image/png"
    assert shown.headers["x-content-type-options"] == "nosniff"
    pdf = client.post("/api/procedures/files?name=a.png", content=b"%PDF-1.4 x").json()
    assert pdf["type"] == "application/pdf"
    not_attached = client.get(f"/procedures/gauge-cover/files/{pdf['sha256']}")
    assert not_attached.status_code == 404
    shelve(client, procedure="gauge-cover", files=[{"sha256": pdf["sha256"], "name": "a.png"}])
    sent = client.get(f"/procedures/gauge-cover/files/{pdf['sha256']}")
    assert sent.headers["content-disposition"].startswith("attachment;")


@pytest.mark.parametrize("data", [b"", b"<svg onload=alert(1)>", b"MZ\x90", b"GIF89a"])
def test_a_file_that_is_none_is_not_kept(
    client: TestClient, workshop: Workshop, data: bytes
) -> None:
    answer = client.post(FILES, content=data)
    assert answer.status_code == 422
    assert "whatever its name says" in answer.json()["error"]
    assert not workshop.papers.folder.exists()


def test_files_alone_may_be_large_and_only_so_large(client: TestClient) -> None:
    large = PNG + bytes(LARGEST_BODY)
    assert client.post(FILES, content=large).status_code == 201
    assert shelve(client, text="x" * LARGEST_BODY).status_code == 413
    limit = LARGER["/api/procedures/files"]
    assert client.post(FILES, content=PNG + bytes(limit)).status_code == 413


@on_both
def test_the_second_reader(client: TestClient, workshop: Workshop) -> None:
    sha256 = shelve(client).json()["sha256"]
    way = "/api/procedures/gauge-cover/1/confirmations/"
    body = {"sha256": sha256, "by": "A. Fitter", "device": DEVICE}
    assert client.put(way + entry(), json=body).status_code == 409
    name = entry()
    other = {**body, "by": "B. Reader"}
    assert client.put(way + name, json=other).status_code == 201
    assert client.put(way + name, json=other).status_code == 200
    assert client.put(way + entry(), json={**body, "sha256": "0" * 64}).status_code == 409
    assert client.put(way.replace("/1/", "/9/") + entry(), json=other).status_code == 404
    found = client.get("/api/procedures/gauge-cover").json()
    assert [one["by"] for one in found["compared"]] == ["B. Reader"]
    assert kinds(workshop) == ["procedure_shelved", "procedure_confirmed"]


@on_both
def test_a_job_is_begun_with_the_exact_version(client: TestClient, workshop: Workshop) -> None:
    sha256 = shelve(client).json()["sha256"]
    made = client.post("/api/procedures/gauge-cover/1/jobs", json=job(sha256))
    assert made.status_code == 201, made.text
    name = made.json()["job"]
    assert f'sha256 = "{sha256}"' in (workshop.jobs / f"{name}.toml").read_text("utf-8")
    assert name in [one["id"] for one in client.get("/api/jobs").json()["jobs"]]
    assert client.post(f"/api/jobs/{name}/opening").status_code == 201
    text = client.get(f"/jobs/{name}/record.txt").text
    assert "Procedure gauge-cover, version 1, entered by A. Fitter" in text
    assert "Reading 2 (chosen by A. Fitter): torque 20 in·lbf" in text
    assert client.get(f"/jobs/{name}/record.pdf").content.startswith(b"%PDF-")
    page = client.get(f"/jobs/{name}").text
    assert 'href="/procedures/gauge-cover?version=1"' in page
    assert "Reading 2 (chosen by A. Fitter): torque 20 in·lbf." in page


@pytest.mark.parametrize(
    "more",
    [
        {"layout": {"pattern": "circle", "count": 4}},
        {"layout": {"pattern": "circle", "count": 4, "diameter_mm": "1e999"}},
        {"layout": {"pattern": "circle", "count": 4, "diameter_mm": "60\n[x]"}},
        {"layout": {"pattern": "circle", "count": 401, "diameter_mm": "60"}},
        {"fastener": {"thread": "M99", "head": "ISO 4014"}},
        {"fastener": {"thread": "M6"}},
        {"torque_percent": "0"},
        {"torque_percent": "eight"},
        {"harm_level": 4},
        {"title": ""},
        {"sha256": "0" * 64},
    ],
)
def test_a_job_that_cannot_be_is_not_written(
    client: TestClient, workshop: Workshop, more: dict[str, Any]
) -> None:
    sha256 = shelve(client).json()["sha256"]
    files = sorted(workshop.jobs.iterdir())
    answer = client.post("/api/procedures/gauge-cover/1/jobs", json={**job(sha256), **more})
    assert answer.status_code in {409, 422}, answer.text
    assert answer.json()["error"]
    assert sorted(workshop.jobs.iterdir()) == files


NASTY = '"""\n[job]\n<script>alert(1)</script>{{7*7}}\\'


def test_what_a_person_typed_is_data_everywhere(client: TestClient) -> None:
    text = "Tighten to 30 Nm"
    made = shelve(
        client, title=NASTY, text=text, choice=None, source={"title": NASTY}, by="<b>A</b>"
    ).json()
    new = {**job(made["sha256"]), "title": NASTY[:90], "machine": NASTY[:90]}
    name = client.post(f"/api/procedures/{made['procedure']}/1/jobs", json=new).json()["job"]
    assert client.post(f"/api/jobs/{name}/opening").status_code == 201
    for path in ("/procedures", f"/procedures/{made['procedure']}", f"/jobs/{name}", "/"):
        page = client.get(path)
        assert page.status_code == 200
        assert "<script>alert" not in page.text
        assert "<b>A</b>" not in page.text
        assert "alert(1)" in page.text


often = settings(
    max_examples=100, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
anything = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**20), 10**20) | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=8,
)


@often
@given(part=st.sampled_from(sorted(version())), other=anything)
def test_any_part_replaced(client: TestClient, part: str, other: Any) -> None:
    answer = shelve(client, **{part: other})
    assert answer.status_code in {201, 404, 409, 422}, answer.text


@often
@given(part=st.sampled_from(sorted(job(""))), other=anything)
def test_any_part_of_a_job_replaced(client: TestClient, part: str, other: Any) -> None:
    if not client.get("/api/procedures").json()["procedures"]:
        shelve(client)
    sha256 = client.get("/api/procedures").json()["procedures"][0]["sha256"]
    answer = client.post("/api/procedures/gauge-cover/1/jobs", json={**job(sha256), part: other})
    assert answer.status_code in {201, 409, 422}, answer.text


@often
@given(text=st.text(max_size=80), locale=st.sampled_from(["en", "de-DE", "ja", "und", "xx"]))
def test_any_text_is_read_in_words(client: TestClient, text: str, locale: str) -> None:
    answer = client.post("/api/procedures/reading", json={"text": text, "locale": locale})
    assert answer.status_code in {200, 422}, answer.text


def test_a_job_is_begun_with_the_choices_of_a_person(
    client: TestClient, workshop: Workshop
) -> None:
    text = (workshop.jobs / "trailer-wheel.toml").read_text("utf-8")
    (workshop.jobs / "trailer-wheel.toml").write_text(text.replace("45 N·m", "45 lbs", 1), "utf-8")
    way = "/api/jobs/trailer-wheel/opening"
    assert "Settle it first" in client.get("/").text
    for body, status in [
        (None, 422),
        ({"choices": {"wheel": 3}, "by": "A. Fitter"}, 422),
        ({"choices": {"nowhere": 1}, "by": "A. Fitter"}, 409),
        ({"choices": {"wheel": 2}, "by": " "}, 422),
        ({"choices": {}, "by": "A. Fitter"}, 422),
        ({"choices": {"wheel": 2}}, 422),
    ]:
        answer = client.post(way, json=body) if body else client.post(way)
        assert answer.status_code == status, (body, answer.text)
    assert client.post(way, json={"choices": {"wheel": 2}, "by": "A. Fitter"}).status_code == 201
    again = client.post(way, json={"choices": {"wheel": 1}, "by": "B. Fitter"})
    assert (again.status_code, again.json()["opened"]) == (200, False)
    with open_store(workshop, write=False) as store:
        (opened,) = store.entries(job="trailer-wheel")
    (settled,) = opened["body"]["settled"]
    assert (settled["joint"], settled["chosen"]) == ("wheel", 2)
    assert settled["by"].startswith("person-")
    plan = client.get("/api/jobs/trailer-wheel").json()["plan"]
    assert plan["joints"][0]["stages"][0]["text"].startswith("torque 45 in·lbf")
    told = client.get("/jobs/trailer-wheel/record.txt").text
    assert "Reading 2 (chosen by A. Fitter): torque 45 in·lbf" in told


def test_a_text_is_kept_with_its_open_point_and_used_by_no_job(client: TestClient) -> None:
    text = "Tighten the cover securely."
    assert shelve(client, text=text, choice=None).status_code == 422
    kept = shelve(client, text=text, choice=None, stays_open=True)
    assert kept.status_code == 201
    page = client.get(f"/procedures/{kept.json()['procedure']}").text
    assert "Open, so no job can use it before a new version settles it" in page
    made = client.post(
        f"/api/procedures/{kept.json()['procedure']}/1/jobs", json=job(kept.json()["sha256"])
    )
    assert made.status_code == 409
    assert "is kept with an open point" in made.json()["error"]

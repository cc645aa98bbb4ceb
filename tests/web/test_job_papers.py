"""Photographs and PDFs of a job: told by content, part of the record, shown without being run."""

from __future__ import annotations

import hashlib
import json
import struct
from pathlib import Path
from typing import Any

from click.testing import CliRunner
from playwright.sync_api import Page
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.bench.handing import hand_over
from clampwright.bench.records import record_of, record_text
from clampwright.cli import group
from clampwright.proof.handover import read_handover
from clampwright.proof.record import verify
from clampwright.store import Store
from clampwright.web.guard import LARGER, POLICY, SANDBOX

PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + struct.pack(">II", 640, 480) + bytes(40)
PDF = b"%PDF-1.7\n1 0 obj<</OpenAction<</S/JavaScript/JS(app.alert)>>>>endobj"
SHA = hashlib.sha256(PNG).hexdigest()
WAY = "/api/papers?name=nut%20two.png"


def body(wheel: Any, **more: Any) -> dict[str, Any]:
    told = {"joint": "wheel", "fastener": 2, "sha256": SHA, "name": "nut two.png", "note": "mark"}
    return {**told, "device": dict(wheel.device), **more}


def test_attached_once_and_part_of_the_record(
    opened: TestClient, wheel: Any, workshop: Workshop
) -> None:
    kept = opened.post(WAY, content=PNG)
    assert kept.status_code == 201
    assert kept.json() == {
        "sha256": SHA,
        "type": "image/png",
        "name": "nut two.png",
        "size": len(PNG),
        "pixels": {"width": 640, "height": 480},
    }
    entry = wheel.entry()
    assert wheel.put(opened, entry, body(wheel), "papers").status_code == 201
    assert wheel.put(opened, entry, body(wheel), "papers").status_code == 200
    twice = wheel.put(opened, wheel.entry(), body(wheel), "papers")
    assert (twice.status_code, "attached there already" in twice.json()["error"]) == (409, True)
    assert "nut two.png" in opened.get("/jobs/trailer-wheel/papers").text
    with Store.open(workshop.folder) as store:
        record = record_of(store, "trailer-wheel")
        handed = read_handover(hand_over(workshop, store, "job", "trailer-wheel"), "x")
    assert verify(record).ok
    assert not verify(record.replace(SHA.encode(), b"0" * 64)).ok
    assert any(SHA in line for line in record_text(record))
    assert handed.files[SHA] == PNG


def test_sent_to_be_saved_and_never_run(opened: TestClient, wheel: Any, workshop: Workshop) -> None:
    sha = opened.post("/api/papers?name=page.pdf", content=PDF).json()["sha256"]
    put = wheel.put(opened, wheel.entry(), body(wheel, sha256=sha, name="page.pdf"), "papers")
    assert put.status_code == 201
    answer = opened.get(f"/jobs/trailer-wheel/papers/{sha}")
    assert answer.content == PDF
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"].startswith("attachment;")
    assert answer.headers.get_list("content-security-policy") == [SANDBOX]
    assert f"{POLICY}; sandbox" == SANDBOX
    assert answer.headers.get_list("x-content-type-options") == ["nosniff"]
    other = opened.post("/api/papers?name=b.png", content=PNG).json()["sha256"]
    assert opened.get(f"/jobs/trailer-wheel/papers/{other}").status_code == 404  # not of this job
    assert opened.get("/jobs/trailer-wheel/papers/../../etc/passwd").status_code == 404
    (workshop.folder / "papers" / sha).write_bytes(b"%PDF-exchanged")
    assert opened.get(f"/jobs/trailer-wheel/papers/{sha}").status_code == 422


def test_what_cannot_be_attached_is_told_and_nothing_is_kept(
    opened: TestClient, wheel: Any, workshop: Workshop
) -> None:
    bomb = PNG[:16] + struct.pack(">II", 60_000, 60_000) + bytes(40)
    for data, said in (
        (b"GIF89a....", "neither a photograph"),
        (b"<html><script>1</script>", "neither a photograph"),
        (b"", "neither a photograph"),
        (bomb, "it unpacks to 60000 by 60000 pixels"),
        (PNG[:18], "header is damaged"),
    ):
        answer = opened.post(WAY, content=data)
        assert answer.status_code == 422
        assert said in answer.json()["error"]
    assert opened.post(WAY, content=PNG + bytes(LARGER["/api/papers"])).status_code == 413
    assert not list((workshop.folder / "papers").glob("*")) or not any(
        SHA in path.name for path in (workshop.folder / "papers").iterdir()
    )
    before = len(wheel.kinds(workshop))
    for more, status in (
        ({}, 422),  # the file was never sent
        ({"sha256": "../../etc/passwd"}, 422),
        ({"joint": "none"}, 409),
    ):
        answer = wheel.put(opened, wheel.entry(), body(wheel, **more), "papers")
        assert answer.status_code == status, answer.text
    opened.post(WAY, content=PNG)
    far = wheel.put(opened, wheel.entry(), body(wheel, fastener=77), "papers")
    assert (far.status_code, "has no fastener 77" in far.json()["error"]) == (409, True)
    assert len(wheel.kinds(workshop)) == before


def test_names_of_files_are_only_shown(opened: TestClient, wheel: Any) -> None:
    odd = "..%2F..%2Fa%0A%3Cb%3E%22.png"
    kept = opened.post(f"/api/papers?name={odd}", content=PNG).json()
    assert kept["name"] == 'a <b>".png'
    put = wheel.put(opened, wheel.entry(), body(wheel, name="../x<i>.png"), "papers")
    assert put.status_code == 201
    page = opened.get("/jobs/trailer-wheel/papers").text
    assert "x&lt;i&gt;.png" in page
    assert "<i>.png" not in page


def test_at_the_terminal(opened: TestClient, workshop: Workshop, tmp_path: Path) -> None:
    assert opened.get("/").status_code == 200
    job, photo = str(workshop.jobs / "trailer-wheel.toml"), tmp_path / "photo.png"
    photo.write_bytes(PNG)

    def run(*words: str) -> Any:
        return CliRunner().invoke(group, ["papers", *words])

    added = run("add", job, "wheel", str(photo), "--fastener", "3", "--note", "paint", "--json")
    assert json.loads(added.output)["file"] == SHA
    assert "Fastener 3: picture photo.png" in run("list", job).output
    assert run("out", job, SHA[:8], str(tmp_path / "again.png")).exit_code == 0
    assert (tmp_path / "again.png").read_bytes() == PNG
    assert "names no file" in str(run("out", job, "zz", str(tmp_path / "b.png")).exception)
    photo.write_bytes(b"no picture")
    assert "neither a photograph" in str(run("add", job, "wheel", str(photo)).exception)


MAKE = """(type) => new Promise((done) => {
  const canvas = document.createElement("canvas");
  canvas.width = 48; canvas.height = 36;
  canvas.getContext("2d").fillRect(4, 4, 20, 20);
  canvas.toBlob(async (blob) => done([...new Uint8Array(await blob.arrayBuffer())]), type);
})"""


def test_on_a_phone_with_pictures_that_a_browser_made(
    nearby: Any, handset: Any, tmp_path: Path
) -> None:
    page: Page = handset.page
    page.goto(nearby.address)
    page.evaluate("fetch('/api/jobs/trailer-wheel/opening', {method: 'POST'})")
    for count, kind in enumerate(("image/jpeg", "image/webp", "image/png"), 1):
        file = tmp_path / f"picture-{count}"
        file.write_bytes(bytes(page.evaluate(MAKE, kind)))
        page.goto(f"{nearby.address}/jobs/trailer-wheel/papers")
        page.set_input_files("#file", file)
        page.get_by_label("What is to be seen").fill(kind)
        page.get_by_role("button", name="Attach it").tap()
        page.locator("img.attached").nth(count - 1).wait_for()
    sizes = "[...document.images].map((one) => [one.naturalWidth, one.getAttribute('width')])"
    page.wait_for_function("() => [...document.images].every((one) => one.complete)")
    assert page.evaluate(sizes) == [[48, "48"]] * 3

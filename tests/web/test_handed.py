"""Between workshops over the API and on the page."""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.bench.handing import hand_over
from clampwright.demo.run import build_workshop
from clampwright.proof.handover import read_handover
from clampwright.store import Store


@pytest.fixture(scope="module")
def tool(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    place = build_workshop(tmp_path_factory.mktemp("other") / "other-yard", replace=False)
    with Store.open(place.folder, create=True) as store:
        return hand_over(place, store, "tool", "click-60")


def test_looked_at_then_taken_in_once(client: TestClient, workshop: Workshop, tool: bytes) -> None:
    assert "Nothing came from another workshop yet" in client.get("/handed").text
    with Store.open(workshop.folder, create=True) as store:
        size = store.head()[0]
    looked = client.post("/api/handed/looks", content=tool)
    assert looked.status_code == 200
    assert looked.json()["workshop"] == "other-yard"
    assert "is here already, and nothing is merged" in looked.json()["problem"]
    assert len(looked.json()["entries"][0]["leaf"]) == 64
    refused = client.post("/api/handed/taken?by=B.%20Taker", content=tool)
    assert refused.status_code == 409
    with Store.open(workshop.folder, write=False) as store:
        assert store.head()[0] == size
    way = "/api/handed/taken?by=B.%20Taker&name=click-of-other"
    taken = client.post(way, content=tool)
    assert (taken.status_code, taken.json()["as"]) == (201, "click-of-other")
    again = client.post(way, content=tool)
    assert again.status_code == 409
    assert "taken in already" in again.json()["error"]
    page = client.get("/handed").text
    assert "other-yard" in page
    assert "B. Taker" in page
    assert read_handover(tool, "x").key.fingerprint in page


@pytest.mark.parametrize(
    ("way", "data", "status"),
    [
        ("looks", b"{}", 422),
        ("looks", b"", 422),
        ("taken?by=B", b'{"format":"clampwright-handover"', 422),
        ("taken", b"{}", 422),
    ],
)
def test_what_is_no_handover_is_told(
    client: TestClient, way: str, data: bytes, status: int
) -> None:
    answer = client.post(f"/api/handed/{way}", content=data)
    assert answer.status_code == status
    assert answer.json()["error"]


def test_handed_over_from_the_page(opened: TestClient, tmp_path: Path) -> None:
    answer = opened.post("/api/hand-overs/tool/click-60")
    assert answer.status_code == 200
    assert answer.headers["content-disposition"] == 'attachment; filename="tool.json"'
    (tmp_path / "tool.json").write_bytes(answer.content)
    assert read_handover(answer.content, "x").name == "click-60"
    assert opened.post("/api/hand-overs/tool/none").status_code in {404, 422}
    assert opened.post("/api/hand-overs/secret/none").status_code == 422

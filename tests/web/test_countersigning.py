"""The workshop as a witness over HTTP: each answer of C2SP tlog-witness, and off unless named."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from outside import Reply, answering
from starlette.testclient import TestClient

from clampwright.bench.anchoring import HEAD_KEPT, Witness, bridge, keep_head
from clampwright.bench.asking import ask_witnesses
from clampwright.bench.folder import Workshop
from clampwright.proof.merkle import HASH_BYTES
from clampwright.proof.witness import read_note, request_text
from clampwright.store import Store
from clampwright.web.app import App

WAY = "/countersigning/add-checkpoint"
OWN = "http://127.0.0.1:8123"


@pytest.fixture
def stranger(app: App) -> Iterator[TestClient]:
    """Another workshop's program: it names no origin."""
    with TestClient(app, base_url=OWN, raise_server_exceptions=False) as found:
        yield found


@pytest.fixture
def log(tmp_path: Path) -> Iterator[Store]:
    """The log of the workshop that asks."""
    with Store.open(tmp_path / "asking", create=True, workshop="Asking Yard") as store:
        store.append("note", {"n": 1})
        yield store


@pytest.fixture
def witness(workshop: Workshop, log: Store) -> Witness:
    (workshop.folder / "outside.toml").write_text('[countersigning]\nfolder = "witness"\n')
    made = Witness.make(workshop.folder / "witness", "neighbour-yard")
    made.introduce(log.public_key.line(log.origin))
    return made


def test_it_is_off_unless_it_is_named(stranger: TestClient, log: Store) -> None:
    answer = stranger.post(WAY, content=bridge(log, 0, log.sign_checkpoint()))
    assert answer.status_code == 404
    assert "countersigns for nobody" in answer.text


def test_the_answers_of_the_exchange(
    stranger: TestClient, witness: Witness, log: Store, tmp_path: Path
) -> None:
    first = log.sign_checkpoint()
    size = log.head()[0]
    answer = stranger.post(WAY, content=bridge(log, 0, first))
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("text/plain")
    signed = read_note(first + answer.text)
    assert signed.witnesses[0].name == "neighbour-yard"
    stale = stranger.post(WAY, content=bridge(log, 0, first))
    assert (stale.status_code, stale.text) == (409, f"{size}\n")
    assert stale.headers["content-type"] == "text/x.tlog.size"
    assert stranger.post(WAY, content=bridge(log, size, first)).status_code == 200

    log.append("note", {"n": 2})
    later = log.sign_checkpoint()
    wrong = request_text(size, [bytes(HASH_BYTES)], later)
    assert stranger.post(WAY, content=wrong).status_code == 422
    assert stranger.post(WAY, content=request_text(size + 9, [], later)).status_code == 400
    unsigned = later.replace("asking-yard", "asking-yard", 1)[:-10] + "AAAAAAAA=\n"
    for odd in ("", "old 1\n", "old x\n\n", unsigned, "old 0\n\n" + "x" * 100):
        assert stranger.post(WAY, content=odd).status_code == 400, odd
    assert stranger.post(WAY, content=b"\xff\xfe").status_code == 400
    with Store.open(tmp_path / "other", create=True, workshop="Other Yard") as other:
        strange = bridge(other, 0, other.sign_checkpoint())
    assert stranger.post(WAY, content=strange).status_code == 404
    lines = later.splitlines()
    lines[-1] = lines[-1][:-12] + ("A" if lines[-1][-12] != "A" else "B") + lines[-1][-11:]
    forged = "\n".join([*lines, ""])
    assert stranger.post(WAY, content=bridge(log, size, forged)).status_code == 403
    assert stranger.post(WAY, content=bridge(log, size, later)).status_code == 200
    assert witness.name == "neighbour-yard"


def test_the_part_not_yet_anchored_is_on_the_page(client: TestClient, workshop: Workshop) -> None:
    def told() -> str:
        found = re.search(r"Log: [^<]*", client.get("/").text)
        return found[0] if found else ""

    with Store.open(workshop.folder, create=True) as store:
        size = store.head()[0]
        note = store.sign_checkpoint()
        assert told().startswith(f"Log: {size} entries.")
        keep_head(store, note, "binder 3")
    assert told() == f"Log: {size + 1} entries. Of the newest, under no head kept outside yet: 1."


def test_a_log_that_went_another_way_is_told_the_size(
    stranger: TestClient, witness: Witness, log: Store
) -> None:
    """Equal sizes with different roots: 409, as the exchange demands."""
    first = log.sign_checkpoint()
    assert stranger.post(WAY, content=bridge(log, 0, first)).status_code == 200
    head = read_note(first).checkpoint.head
    other = type(head)(head.origin, head.size, bytes(32)).sign(log.signing_key())
    answer = stranger.post(WAY, content=request_text(head.size, [], other))
    assert (answer.status_code, answer.text) == (409, f"{head.size}\n")
    assert witness.line


def test_a_page_of_another_site_is_turned_away(
    stranger: TestClient, witness: Witness, log: Store
) -> None:
    answer = stranger.post(
        WAY,
        content=bridge(log, 0, log.sign_checkpoint()),
        headers={"origin": "http://evil.example"},
    )
    assert answer.status_code == 403
    assert witness.name


def test_two_workshops_from_end_to_end(
    stranger: TestClient, witness: Witness, log: Store, tmp_path: Path
) -> None:
    """The command asks, the other workshop's server answers; a witness that knows more is met."""

    def pass_on(path: str, body: bytes) -> Reply:
        got = stranger.post(path, content=body)
        return got.status_code, got.headers["content-type"], got.content

    place = Workshop(tmp_path / "asking")
    witness.sign(bridge(log, 0, log.sign_checkpoint()))  # by another way: the log knows nothing
    with answering(pass_on) as url:
        (place.folder / "outside.toml").write_text(
            f'[[witness]]\nurl = "{url}/countersigning"\nkey = "{witness.line}"\n'
        )
        for _ in range(2):
            (asked,) = ask_witnesses(place, log)
            assert asked.problem is None
            log.append("note", {"n": 3})
    kept = [read_note(str(line.body["note"])) for line in log.of_kind(HEAD_KEPT)]
    assert [note.witnesses[0].name for note in kept] == ["neighbour-yard"] * 2

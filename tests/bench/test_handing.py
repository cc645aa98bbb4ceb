"""From one workshop to another: what arrives, what is refused, and that nothing changes then."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from clampwright.bench import taking_parts
from clampwright.bench.folder import Workshop
from clampwright.bench.handing import hand_over
from clampwright.bench.histories import histories_of
from clampwright.bench.shelf import Draft, confirm, put, shelf_of
from clampwright.bench.taking import Taken, take_in, taken_in
from clampwright.demo.run import build_workshop, run_job
from clampwright.drawer.files import load_drawer
from clampwright.drawer.pinned import states_of
from clampwright.errors import BadFile, ClampwrightError, Missing, Refused, StoreFull
from clampwright.proof.handover import HANDED_OVER, What, build, closing_body, read_handover
from clampwright.proof.keys import SigningKey
from clampwright.proof.record import verify
from clampwright.proof.strictjson import canonical
from clampwright.store import Store

TODAY = dt.date(2026, 11, 30)
PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + (8).to_bytes(4, "big") * 2 + bytes(40)


@pytest.fixture(scope="module")
def giving(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    """A workshop with a done job, a procedure with a page, and a wrench with a history."""
    place = build_workshop(tmp_path_factory.mktemp("giving") / "giving-yard", replace=False)
    run_job(place, "trailer-wheel", seed=3, faults=())
    source = {"title": "Leaflet (invented)"}
    draft = Draft("Gauge cover", "Torque the bolts to 20 N·m.", source=source)
    with Store.open(place.folder) as store:
        made = put(store, place, draft, "A. Fitter", files=[(PNG, "page.png")])
        confirm(store, place, made, "C. Other")
        for event in ("dropped", "zeroed"):
            body = {"tool": "click-60", "event": event, "date": "2026-10-01", "note": ""}
            store.append("tool_event", body)
    return place


@pytest.fixture(scope="module")
def files(giving: Workshop) -> dict[str, bytes]:
    with Store.open(giving.folder) as store:
        return {
            "job": hand_over(giving, store, "job", "trailer-wheel"),
            "procedure": hand_over(giving, store, "procedure", "gauge-cover"),
            "tool": hand_over(giving, store, "tool", "click-60"),
        }


@pytest.fixture
def taking(tmp_path: Path) -> Workshop:
    place = build_workshop(tmp_path / "taking-yard", replace=False)
    shutil.rmtree(place.jobs)
    with Store.open(place.folder, create=True):
        pass
    return place


def take(place: Workshop, data: bytes, **more: Any) -> Taken:
    given = read_handover(data, "file.json")
    with Store.open(place.folder) as store:
        return take_in(place, store, given, data, "B. Taker", today=TODAY, **more)


def state(place: Workshop) -> dict[str, bytes]:
    """Everything in a workshop's folder, but for the kept files that no entry names."""
    return {
        str(path.relative_to(place.folder)): path.read_bytes()
        for path in sorted(place.folder.rglob("*"))
        if path.is_file() and path.name not in {"workshop.lock", "names.json"}
        and "papers" not in path.parts
        and "workshop.sqlite-" not in path.name
    }  # fmt: skip


def test_a_job_arrives_with_its_record_and_is_set_up_anew(
    taking: Workshop, files: dict[str, bytes]
) -> None:
    taken = take(taking, files["job"])
    given = read_handover(files["job"], "x")
    assert (taken.body["workshop"], taken.body["as"]) == ("giving-yard", "trailer-wheel")
    assert taken.body["key"] == given.key.text
    assert [one["leaf"] for one in taken.body["entries"]] == [one.leaf for one in given.entries]
    assert (taking.jobs / "trailer-wheel.toml").is_file()
    kept = read_handover(taking.papers.read(taken.body["file"]), "kept")
    records = [one for one in kept.files.values() if one.startswith(b'{"checkpoint":')]
    assert verify(records[0]).ok
    for name in kept.content["recordings"]:
        assert taking.papers.read(name)
    with Store.open(taking.folder, write=False) as store:
        assert not list(store.entries(job="trailer-wheel"))
        assert store.check() == store.head()[0]


def test_a_procedure_arrives_with_its_page_and_is_to_be_compared_anew(
    giving: Workshop, taking: Workshop, files: dict[str, bytes]
) -> None:
    take(taking, files["procedure"])
    with Store.open(taking.folder, write=False) as store:
        (version,) = shelf_of(store).versions("gauge-cover")
        (entry,) = store.of_kind("procedure_shelved")
    with Store.open(giving.folder, write=False) as store:
        (there,) = shelf_of(store).versions("gauge-cover")
    assert version.sha256 == there.sha256
    assert (version.confirmed, len(there.confirmed)) == ((), 1)
    assert taking.papers.read(version.attached[0].sha256) == PNG
    assert entry.body["received"]["entry"] == read_handover(files["procedure"], "x").id


def test_a_tool_arrives_under_another_id_with_its_history(
    giving: Workshop, taking: Workshop, files: dict[str, bytes]
) -> None:
    with pytest.raises(Refused, match="a tool click-60 is here already, and nothing is merged"):
        take(taking, files["tool"])
    before = taking.drawer.read_bytes()
    take(taking, files["tool"], name="click-60-of-giving")
    assert taking.drawer.read_bytes().startswith(before.rstrip())

    def known(place: Workshop, tool: str) -> dict[str, Any]:
        drawer = load_drawer(place.drawer.read_bytes(), "drawer")
        with Store.open(place.folder, write=False) as store:
            return dict(states_of(drawer, histories_of(store))[tool])

    here, there = known(taking, "click-60-of-giving"), known(giving, "click-60")
    assert here == there
    assert [one["event"] for one in here["doubts"]] == ["dropped"]


def test_it_is_taken_in_once(taking: Workshop, files: dict[str, bytes]) -> None:
    take(taking, files["job"])
    before = state(taking)
    for more in ({}, {"name": "another"}, {"file_only": True}):
        with pytest.raises(Refused, match="this was taken in already, on"):
            take(taking, files["job"], **more)
    assert state(taking) == before
    with Store.open(taking.folder, write=False) as store:
        assert len(taken_in(store)) == 1


def test_a_job_whose_id_is_in_use_is_a_choice(taking: Workshop, files: dict[str, bytes]) -> None:
    taking.jobs.mkdir()
    own = taking.jobs / "trailer-wheel.toml"
    own.write_text("# my own\n")
    with pytest.raises(Refused, match="a job trailer-wheel is here already"):
        take(taking, files["job"])
    with pytest.raises(Refused, match="cannot be an id here"):
        take(taking, files["job"], name="../trailer")
    take(taking, files["job"], name="wheel-of-giving")
    assert own.read_text() == "# my own\n"
    assert 'id = "wheel-of-giving"' in (taking.jobs / "wheel-of-giving.toml").read_text()


def test_only_the_file(taking: Workshop, files: dict[str, bytes]) -> None:
    before = state(taking)
    taken = take(taking, files["tool"], file_only=True)
    assert taken.body["as"] == ""
    after = state(taking)
    assert {name for name in after if after[name] != before.get(name)} == {"workshop.sqlite"}


def test_a_log_that_cannot_be_written_leaves_no_tool_behind(
    taking: Workshop, files: dict[str, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    before = state(taking)

    def full(*_: object) -> None:
        raise StoreFull("the disk is full")

    monkeypatch.setattr(Store, "append_many", full)
    for what, more in (("tool", {"name": "other"}), ("job", {}), ("procedure", {})):
        with pytest.raises(StoreFull):
            take(taking, files[what], **more)
    assert state(taking) == before


def test_what_is_not_there_cannot_be_handed_over(giving: Workshop) -> None:
    with Store.open(giving.folder) as store:
        size = store.head()[0]
        for what, name in (("job", "none"), ("procedure", "none"), ("tool", "none")):
            with pytest.raises(Missing):
                hand_over(giving, store, what, name)  # type: ignore[arg-type] # the three kinds
        assert store.head()[0] == size


def test_its_own_handover_is_not_taken_in(giving: Workshop, files: dict[str, bytes]) -> None:
    with pytest.raises(Refused, match="handed over by this workshop itself"):
        take(giving, files["tool"], name="other")


def test_after_a_change_of_key_it_still_leads_to_the_first(
    giving: Workshop, tmp_path: Path
) -> None:
    folder = tmp_path / "changed"
    shutil.copytree(giving.folder, folder)
    with Store.open(folder) as store:
        store.change_key(SigningKey.new(), "planned", old=store.signing_key(), pass_phrase=None)
        data = hand_over(Workshop(folder), store, "procedure", "gauge-cover")
        assert read_handover(data, "x").key == store.public_key


Change = Callable[[dict[str, Any]], object]


def _swap(content: dict[str, Any]) -> None:
    content["entries"][1:3] = reversed(content["entries"][1:3])


def _foreign_key(content: dict[str, Any]) -> None:
    content["key"] = SigningKey.new().public.text


FORGED: list[tuple[str, Change]] = [
    ("it has the newer form 2", lambda c: c.update(version=2)),
    ("its form 0 is none that is known", lambda c: c.update(version=0)),
    ("its form True is none that is known", lambda c: c.update(version=True)),
    ("is not a handover of this program", lambda c: c.update(format="clampwright-record")),
    ("its members are not those", lambda c: c.update(note="more")),
    ("its members are not those", lambda c: c.pop("files")),
    ("not signed with the key in it", _foreign_key),
    ("out of order, or twice", _swap),
    ("out of order, or twice", lambda c: c["entries"].insert(2, c["entries"][1])),
    ("its end is missing", lambda c: c["entries"].pop()),
    ("not those it was closed over", lambda c: c["entries"].pop(1)),
    ("which names its key, is missing", lambda c: c["entries"].pop(0)),
    ("it is not what was signed", lambda c: c["entries"][-1]["entry"]["body"].update(name="x")),
    ("it is not what was signed", lambda c: c["entries"][1]["entry"]["body"].update(by="x")),
    ("a file stands in it twice", lambda c: c["files"].append(c["files"][0])),
    ("its files are not those", lambda c: c["files"].clear()),
    ("is not what was handed over", lambda c: c["files"][0].update(data="AAAA")),
    ("it holds no entries", lambda c: c.update(entries=[])),
]


@pytest.mark.parametrize(("said", "change"), FORGED)
def test_a_forged_file_is_refused_in_words(
    files: dict[str, bytes], said: str, change: Change
) -> None:
    content = json.loads(files["procedure"])
    change(content)
    with pytest.raises(BadFile, match="cannot be taken") as caught:
        read_handover(canonical(content, max_bytes=10**8), "given.json")
    assert said in str(caught.value)


def test_other_files_are_refused_in_words(files: dict[str, bytes], giving: Workshop) -> None:
    whole = files["tool"]
    record = (giving.records / "trailer-wheel.json").read_bytes()
    for data, said in (
        (b"", "it is cut off or no handover"),
        (whole[:-1], "it is cut off or no handover"),
        (whole[: len(whole) // 2], "it is cut off or no handover"),
        (whole + b"\n", "another program saved it anew"),
        (json.dumps(json.loads(whole)).encode(), "another program saved it anew"),
        (record, "it is not a handover of this program"),
        (PNG, "it is cut off or no handover"),
    ):
        with pytest.raises(BadFile) as caught:
            read_handover(data, "given.json")
        assert said in str(caught.value)
    with pytest.raises(BadFile, match="another key than the one demanded"):
        read_handover(whole, "given.json", key="00" * 32)
    given = read_handover(whole, "any name at all", key=read_handover(whole, "x").key.text)
    assert given.sha256 == hashlib.sha256(whole).hexdigest()


Misshapen = tuple[What, dict[str, Any], list[tuple[str, dict[str, Any]]]]
MISSHAPEN: list[Misshapen] = [
    ("procedure", {}, []),
    ("procedure", {}, [("procedure_shelved", {"by": "x"})]),
    ("tool", {"table": "".join(f"[[tool]]\nid = '{n}'\ntitle = 'A'\nkind = 'bar'\n"
                               "drive = '1/2 in'\n" for n in "ab")}, []),
]  # fmt: skip


@pytest.mark.parametrize("misshapen", MISSHAPEN)
def test_what_is_signed_but_not_well_formed_is_refused_in_words(
    giving: Workshop, taking: Workshop, tmp_path: Path, misshapen: Misshapen
) -> None:
    """Anybody can sign anything with a key of their own."""
    what, content, bodies = misshapen
    shutil.copytree(giving.folder, folder := tmp_path / "forging-yard")
    with Store.open(folder) as store:
        also = [store.line(store.append(kind, body).id) for kind, body in bodies]
        closing = closing_body(
            what=what, name="some-thing", title="T", workshop=store.workshop, content=content,
            also=also, files=[],
        )  # fmt: skip
        last = store.line(store.append(HANDED_OVER, closing).id)
        key = store.signing_key()
        note, tree = store.sign_checkpoint(key), store.tree()
        rows = [next(iter(store.lines())), *also, last]
        proofs = [tree.inclusion(row.index, last.index + 1) for row in rows]
        data = build(entries=rows, proofs=proofs, checkpoint=note, key=key.public, files=[])
    before = state(taking)
    with pytest.raises(BadFile, match="this cannot be used here"):
        take(taking, data)
    assert state(taking) == before


def test_a_tool_that_cannot_be_read_here_changes_nothing(
    taking: Workshop, files: dict[str, bytes], monkeypatch: pytest.MonkeyPatch
) -> None:
    """As a newer program could write it: a key in the tool's table that is not known here."""
    table = taking_parts._table  # noqa: SLF001 - what arrives is changed on the way

    def newer(given: Any, name: str) -> str:
        return table(given, name).replace("[[tool]]\n", '[[tool]]\nglow = "blue"\n')

    monkeypatch.setattr(taking_parts, "_table", newer)
    before = state(taking)
    with pytest.raises(ClampwrightError, match="glow"):
        take(taking, files["tool"], name="other")
    assert state(taking) == before

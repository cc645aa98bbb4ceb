"""``clampwright stamp`` and ``witness ask``: a head signed by others, and requests that leave."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from outside import Authority, Reply, answering

from clampwright.bench.anchoring import HEAD_KEPT, Witness, anchored_size
from clampwright.bench.stamping import ANSWERED
from clampwright.cli import group
from clampwright.errors import ClampwrightError
from clampwright.store import NewEntry, Store


@pytest.fixture(scope="module")
def authority(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return Authority(tmp_path_factory.mktemp("outside") / "authority")


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    folder = tmp_path / "yard"
    with Store.open(folder, create=True, workshop="Invented Yard") as store:
        store.append_many(NewEntry("pull", {"fastener": n}, job="wheel") for n in range(4))
        (tmp_path / "record.json").write_bytes(store.record("wheel"))
    return folder


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(group, [str(one) for one in arguments])


def done(*arguments: str | Path) -> str:
    result = run(*arguments)
    assert result.exception is None, result.exception
    return result.output


def refused(*arguments: str | Path) -> str:
    result = run(*arguments)
    assert isinstance(result.exception, ClampwrightError), result.exception
    return str(result.exception)


def size_of(folder: Path) -> int:
    with Store.open(folder, write=False) as store:
        return store.head()[0]


def test_asked_by_a_file_and_taken_in_from_a_file(
    yard: Path, tmp_path: Path, authority: Authority
) -> None:
    ask, answer, root = tmp_path / "ask.tsq", tmp_path / "answer.tsr", authority.folder / "root.pem"
    done("stamp", "request", yard, ask)
    assert "is there already" in refused("stamp", "request", yard, ask)
    answer.write_bytes(authority.answer(ask.read_bytes()))
    before = size_of(yard)
    done("stamp", "request", yard, tmp_path / "again.tsq")
    other = ("--request", tmp_path / "again.tsq")
    assert "does not repeat" in refused("stamp", "keep", yard, answer, *other, "--chain", root)
    assert size_of(yard) == before
    kept = done("stamp", "keep", yard, answer, "--request", ask, "--chain", root)
    assert "CN=Invented Stamps" in kept
    with Store.open(yard, write=False) as store:
        assert anchored_size(store) == before
        (line,) = store.of_kind(HEAD_KEPT)
        assert line.body["where"] == "CN=Invented Stamps"
    shown = json.loads(done("stamp", "show", answer, "--chain", root, "--json"))
    assert (shown["holds"], shown["accuracy_seconds"]) == (True, 1.0)
    written = json.loads(done("stamp", "out", yard, tmp_path / "out", "--json"))
    head, token, chain = (Path(one) for one in written["files"])
    assert authority.says(token.read_bytes(), head.read_bytes())
    assert chain.read_bytes() == authority.root
    told = done("verify", tmp_path / "record.json", "--against", token, "--chain", chain)
    assert "saw its hash at" in told
    assert "cannot be written" in refused("stamp", "out", yard, tmp_path / "out")


def test_an_answer_over_another_log_is_not_kept(
    yard: Path, tmp_path: Path, authority: Authority
) -> None:
    foreign, ask, answer = tmp_path / "foreign", tmp_path / "ask.tsq", tmp_path / "answer.tsr"
    with Store.open(foreign, create=True, workshop="Another Yard") as store:
        store.append("pull", {"fastener": 1}, job="wheel")
    done("stamp", "request", foreign, ask)
    answer.write_bytes(authority.answer(ask.read_bytes()))
    said = refused(
        *("stamp", "keep", yard, answer, "--request", ask),
        *("--chain", authority.folder / "root.pem"),
    )
    assert "over no head of the log" in said
    assert not (yard / "papers").exists()
    assert "no time stamp is kept here" in refused("stamp", "out", yard, tmp_path / "out")


def test_a_record_held_against_a_stamp_that_does_not_fit(
    yard: Path, tmp_path: Path, authority: Authority
) -> None:
    with Store.open(yard) as store:
        store.append("pull", {"fastener": 5}, job="wheel")
    ask, answer = tmp_path / "ask.tsq", tmp_path / "answer.tsr"
    done("stamp", "request", yard, ask)
    answer.write_bytes(authority.answer(ask.read_bytes()))
    root = authority.folder / "root.pem"
    result = run("verify", tmp_path / "record.json", "--against", answer, "--chain", root)
    assert result.exit_code == 1
    assert "over none of the heads given" in result.output


def test_asked_over_the_network_only_when_a_person_says_so(
    yard: Path, tmp_path: Path, authority: Authority
) -> None:
    assert "nobody outside is asked before [time_stamp]" in refused("stamp", "fetch", yard)
    asked: list[bytes] = []
    replies: list[Reply] = []

    def answer(_path: str, body: bytes) -> Reply:
        asked.append(body)
        return replies.pop() if replies else (200, ANSWERED, authority.answer(body))

    (yard / "authority.pem").write_bytes(authority.root)
    with answering(answer) as url:
        (yard / "outside.toml").write_text(
            f'[time_stamp]\nurl = "{url}/stamps"\nchain = "authority.pem"\n'
        )
        done("stamp", "request", yard, tmp_path / "ask.tsq")
        done("head", yard)
        done("verify", tmp_path / "record.json")
        assert not asked
        done("stamp", "fetch", yard)
        assert len(asked) == 1
        stale = authority.answer(asked[0])
        before = size_of(yard)
        for reply, said in (
            ((200, ANSWERED, stale), "over something else"),
            ((500, "text/plain", b"no"), "gave no time stamp (status 500"),
            ((302, ANSWERED, b""), "gave no time stamp (status 302"),
            ((200, "text/html", b"<p>"), "gave no time stamp"),
            ((200, ANSWERED, b"0" * 300_000), "more than"),
            ((200, ANSWERED, stale[:200]), "is cut off"),
        ):
            replies.append(reply)
            assert said in refused("stamp", "fetch", yard)
        assert size_of(yard) == before
    assert "did not answer" in refused("stamp", "fetch", yard)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[time_stmp]\nurl = "http://a"\n', "time_stmp"),
        ('[time_stamp]\nurl = "ftp://a"\nchain = "c"\n', "url"),
        ('[time_stamp]\nurl = "http://who:secret@a/"\nchain = "c"\n', "url"),
        ("[[witness]]\nurl = 3\n", "witness"),
    ],
)
def test_a_file_that_names_them_wrongly_is_told(yard: Path, text: str, said: str) -> None:
    (yard / "outside.toml").write_text(text)
    assert said in refused("stamp", "fetch", yard)


def test_a_witness_is_asked_over_the_network(yard: Path, tmp_path: Path) -> None:
    assert "nobody outside is asked before" in refused("witness", "ask", yard)
    witness = Witness.make(tmp_path / "w", "neighbour")
    witness.introduce(json.loads(done("key", "show", yard, "--json"))["line"])
    wrong = Witness.make(tmp_path / "wrong", "neighbour")
    wrong.introduce(json.loads(done("key", "show", yard, "--json"))["line"])
    signing = [wrong]
    asked: list[str] = []

    def answer(path: str, body: bytes) -> Reply:
        asked.append(path)
        return 200, "text/plain", signing[0].sign(body.decode()).encode()

    with answering(answer) as url:
        (yard / "outside.toml").write_text(
            f'[[witness]]\nurl = "{url}/here/"\nkey = "{witness.line}"\n'
        )
        result = run("witness", "ask", yard)
        assert result.exit_code == 1
        assert "not made with the key of neighbour" in result.output
        signing[0] = witness
        assert "countersigned by neighbour" in done("witness", "ask", yard)
        assert asked == ["/here/add-checkpoint"] * 2
        again = json.loads(done("witness", "ask", yard, "--json"))
    assert again["asked"][0]["problem"] is None
    closed = run("witness", "ask", yard)
    assert closed.exit_code == 1
    assert "did not answer" in closed.output

"""Countersigned heads: written, read back, and refused where the log did not only grow."""

from dataclasses import replace
from hashlib import sha256

import pytest
from small_log import KEY, OTHER, Log

from clampwright.errors import BadFile, Refused
from clampwright.proof.checkpoint import MAX_CHARACTERS, Head, read_checkpoint
from clampwright.proof.keys import PublicKey, SigningKey, to_base64
from clampwright.proof.witness import (
    MAX_LINES,
    MAX_PROOF,
    Note,
    Request,
    countersign,
    read_note,
    read_request,
    refusal,
    request_text,
    witness_from,
    witness_id,
    witness_line,
)

NEIGHBOUR = SigningKey.from_seed(bytes(range(3, 35)))
LOG = Log()
NOTE = LOG.note()
HEAD = read_checkpoint(NOTE).head
LINE = countersign(HEAD, "neighbour", NEIGHBOUR, 1_700_000_000)
NODE = to_base64(bytes(32))


# The key of a witness. The forms are those of C2SP signed-note and tlog-cosignature (version 1).


def test_the_key_of_a_witness_there_and_back() -> None:
    line = witness_line("neighbour", NEIGHBOUR.public)
    data = b"neighbour\n\x04" + NEIGHBOUR.public.raw
    assert witness_id("neighbour", NEIGHBOUR.public) == sha256(data).digest()[:4]
    assert line.split("+")[:2] == ["neighbour", sha256(data).hexdigest()[:8]]
    assert witness_from(f" {line}\n") == ("neighbour", NEIGHBOUR.public)
    plus = PublicKey(b"\xef\xbe" + b"\xfb\xef\xbe" * 10)  # "+" is a letter of base64 too
    assert witness_line("neighbour", plus).count("+") > 2
    assert witness_from(witness_line("neighbour", plus)) == ("neighbour", plus)


@pytest.mark.parametrize(
    "line",
    [
        "",
        "neighbour",
        "neighbour+00000000",
        witness_line("neighbour", NEIGHBOUR.public).replace("neighbour", "other"),
        witness_line("neighbour", NEIGHBOUR.public)[:-4],
        f"yard+{witness_id('yard', KEY.public).hex()}+{to_base64(b'1' + KEY.public.raw)}",
        f"yard+{witness_id('yard', KEY.public).hex()}+{to_base64(KEY.public.raw)}",
        "x" * 200,
    ],
)
def test_what_is_no_key_of_a_witness(line: str) -> None:
    with pytest.raises(Refused) as caught:
        witness_from(f"{line}\n")
    assert str(caught.value) == (f"{line[:80]!r} is not the key line of a witness (name+id+key)")


# A line under a head.


def test_what_a_witness_signs() -> None:
    for time in (1_700_000_000, 2**63):
        line = countersign(HEAD, "neighbour", NEIGHBOUR, time)
        assert line.signature == NEIGHBOUR.sign(
            f"cosignature/v1\ntime {time}\n{HEAD.text}".encode()
        )
        assert line.key_id == witness_id("neighbour", NEIGHBOUR.public)
        data = line.key_id + time.to_bytes(8, "big") + line.signature
        assert line.line == f"— neighbour {to_base64(data)}\n"
        assert read_note(NOTE + line.line) == Note(read_checkpoint(NOTE), (line,))


def test_a_line_holds_for_its_witness_its_head_and_its_time_alone() -> None:
    assert LINE.made_by(NEIGHBOUR.public, HEAD)
    assert not LINE.made_by(KEY.public, HEAD)
    assert not LINE.made_by(NEIGHBOUR.public, replace(HEAD, size=13))
    assert not replace(LINE, time=1_700_000_001).made_by(NEIGHBOUR.public, HEAD)
    assert not replace(LINE, name="other").made_by(NEIGHBOUR.public, HEAD)
    assert not replace(LINE, key_id=bytes(4)).made_by(NEIGHBOUR.public, HEAD)


def test_a_name_with_a_gap_signs_nothing() -> None:
    with pytest.raises(Refused, match="two words"):
        countersign(HEAD, "two words", NEIGHBOUR, 1)


# A head with lines under it.


def test_lines_of_unknown_kinds_are_passed_over() -> None:
    odd = [
        "— neighbour AAAA\n",
        "— neighbour\n",
        f"—  neighbour {LINE.line.split()[2]}\n",
        f"- neighbour {LINE.line.split()[2]}\n",
        f"— neighbour {LINE.line.split()[2]} more\n",
        "— neighbour no-base64!\n",
        "anything\n",
    ]
    assert read_note(NOTE + "".join(odd)).witnesses == ()
    second = countersign(HEAD, "second", OTHER, 5)
    assert read_note(NOTE + odd[0] + LINE.line + second.line).witnesses == (LINE, second)
    # The log's own line need not be the first.
    lines = NOTE.splitlines(keepends=True)
    turned = "".join([*lines[:4], LINE.line, lines[4]])
    assert read_note(turned) == Note(read_checkpoint(NOTE), (LINE,))


def test_a_head_bears_as_many_lines_as_are_allowed() -> None:
    assert len(read_note(NOTE + LINE.line * (MAX_LINES - 1)).witnesses) == MAX_LINES - 1
    with pytest.raises(BadFile, match=r"^kept: a signed head has three lines, a blank line"):
        read_note(NOTE + LINE.line * MAX_LINES, "kept")
    room = MAX_CHARACTERS * MAX_LINES - len(NOTE) - 1
    assert read_note(f"{NOTE}{'x' * room}\n").witnesses == ()
    with pytest.raises(BadFile, match=r"^head: a signed head has three lines, a blank line"):
        read_note(f"{NOTE}{'x' * (room + 1)}\n")


@pytest.mark.parametrize(
    ("text", "part"),
    [
        ("", "a signed head has three lines, a blank line and signatures"),
        (NOTE.rstrip("\n"), "a signed head has three lines, a blank line and signatures"),
        (NOTE + "x", "a signed head has three lines, a blank line and signatures"),
        (NOTE + NOTE.splitlines(keepends=True)[4], "it does not bear exactly one signature"),
        ("".join([*NOTE.splitlines(keepends=True)[:4], LINE.line]), "exactly one signature of its"),
        (NOTE.replace("\n14\n", "\nx\n"), "kept: "),
    ],
)
def test_what_is_no_signed_head(text: str, part: str) -> None:
    with pytest.raises(BadFile) as caught:
        read_note(text, "kept")
    assert str(caught.value).startswith("kept: ")
    assert part in str(caught.value)
    assert caught.value.file == "kept"


# A request to a witness.


def test_a_request_there_and_back() -> None:
    nodes = LOG.tree.consistency(6)
    text = request_text(6, nodes, NOTE)
    assert text.split("\n")[: len(nodes) + 2] == ["old 6", *map(to_base64, nodes), ""]
    assert read_request(text) == Request(6, nodes, read_note(NOTE), NOTE)
    assert read_request(request_text(0, (), NOTE)) == Request(0, (), read_note(NOTE), NOTE)


@pytest.mark.parametrize("lead", ["old 9" + "9" * 15, "\n".join(["old 6", *[NODE] * MAX_PROOF])])
def test_the_limits_of_a_request_are_inside(lead: str) -> None:
    assert read_request(f"{lead}\n\n{NOTE}").note == read_note(NOTE)


@pytest.mark.parametrize(
    "text",
    [
        "",
        NOTE,
        f"old 6\n{NODE}\n{NOTE.replace(chr(10) * 2, chr(10))}",
        f"old 06\n\n{NOTE}",
        f"old -1\n\n{NOTE}",
        f"old 9{'9' * 16}\n\n{NOTE}",
        f"old 6\nAAAA\n\n{NOTE}",
        f"old 6\nno base64\n\n{NOTE}",
        "\n".join(["old 6", *[NODE] * (MAX_PROOF + 1), "", NOTE]),
    ],
)
def test_what_is_no_request(text: str) -> None:
    with pytest.raises(BadFile) as caught:
        read_request(text, "asked")
    assert str(caught.value) == (
        "asked is not a proof between two heads (old, nodes, blank line, head)"
    )
    assert caught.value.file == "asked"


def test_a_request_without_a_name_and_one_with_a_spoilt_head() -> None:
    with pytest.raises(BadFile, match=r"^request is not a proof between two heads"):
        read_request("")
    with pytest.raises(BadFile, match=r"^asked: a signed head has three lines"):
        read_request("old 6\n\nx", "asked")


def head_over(size: int) -> Head:
    return read_checkpoint(LOG.note(size)).head


def test_a_bridge_joins_the_heads_it_was_made_for_alone() -> None:
    bridge = read_request(LOG.bridge(6))
    assert bridge.joins(head_over(6))
    assert not bridge.joins(head_over(5))
    assert not bridge.joins(replace(head_over(6), root=bytes(32)))
    assert not bridge.joins(replace(head_over(6), origin="barn"))
    assert not replace(bridge, old=5).joins(head_over(6))
    assert not replace(bridge, proof=bridge.proof[1:]).joins(head_over(6))


# Why a witness does not sign. The order is that of C2SP tlog-witness.

FORGED = Head(LOG.origin, 14, bytes(32)).sign(KEY)
CHANGED = "the log did not grow from the head seen here: it was changed or cut off"


@pytest.mark.parametrize(
    ("request_", "known", "why", "say"),
    [
        (LOG.bridge(6), 6, None, None),
        (request_text(0, (), NOTE), None, None, None),
        (request_text(14, (), NOTE), 14, None, None),
        (
            request_text(99, (), LOG.note(key=OTHER)),
            6,
            "unsigned",
            f"the head is not signed with the key that is known for {LOG.origin}",
        ),
        (
            request_text(15, (), NOTE),
            6,
            "impossible",
            "the head is older than the one it should grow from",
        ),
        (LOG.bridge(5), 6, "size", "the last head seen here has 6 entries, not 5"),
        (LOG.bridge(5), None, "size", "the last head seen here has 0 entries, not 5"),
        (request_text(14, (), FORGED), 14, "size", CHANGED),
        (request_text(6, LOG.tree.consistency(5), NOTE), 6, "changed", CHANGED),
        (
            request_text(0, [bytes(32)], NOTE),
            None,
            "changed",
            "there is nothing to prove to somebody who has seen no head yet",
        ),
    ],
)
def test_a_witness_signs_growth_alone(
    request_: str, known: int | None, why: str | None, say: str | None
) -> None:
    seen = None if known is None else head_over(known)
    found = refusal(read_request(request_), seen, KEY.public)
    assert (found and found.why, found and str(found.say)) == (why, say)

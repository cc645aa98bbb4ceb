"""Records of jobs: written as JSON that can be verified, and as plain lines to read or print."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from clampwright import __version__
from clampwright.bench.folder import DRAWER_FILE, Workshop
from clampwright.bench.papers import Papers
from clampwright.bench.sections import add_sections, section_lines
from clampwright.bench.tool_entries import tool_entries
from clampwright.drawer.files import load_drawer
from clampwright.drawer.pinned import drawer_with
from clampwright.drawer.tools import Tool
from clampwright.errors import Refused
from clampwright.locale import say
from clampwright.proof.ids import uuid7
from clampwright.proof.verification import verify
from clampwright.report.mark_dial import turn_of
from clampwright.report.paper.pulls import received_words
from clampwright.report.paper.recordings import named_recordings
from clampwright.report.pdf import record_pdf
from clampwright.report.prepared import told_of
from clampwright.report.tool_lines import told_of_tools
from clampwright.store.log import Store
from clampwright.words import Words, from_data, words
from clampwright.work.aside import told
from clampwright.work.clock_marks import clock_lines
from clampwright.work.figures import questions
from clampwright.work.fold import JobState, Pull, fold
from clampwright.work.hands import done_words, hands_of, who_words
from clampwright.work.likeness import odd_ones
from clampwright.work.provenance import provenance
from clampwright.work.second_reading import reading_words
from clampwright.work.unsigned import told as held_words


@dataclass(frozen=True, slots=True)
class Written:
    """The files of a record.

    Parameters
    ----------
    json : pathlib.Path
        The record itself.
    pdf : pathlib.Path or None
        The same on paper, with the record attached.
    """

    json: Path
    pdf: Path | None = None


def write_record(
    place: Workshop, store: Store, job: str, out: Path | None = None, *, paper: bool = True
) -> Written:
    """Write the record of a job, and the paper made of it.

    The hash of the paper becomes an entry of the log (outside the job, so that the record stays the
    same), before the paper has its name.

    Parameters
    ----------
    place : Workshop
    store : Store
    job : str
        Id of the job.
    out : pathlib.Path or None
        Where to, ending in ``.json``; ``records/<job>.json`` in the workshop folder if not given.
    paper : bool
        Whether to make the PDF too, beside it.

    Returns
    -------
    Written

    Raises
    ------
    Refused
        When a file cannot be written.
    """
    path = out or place.records / f"{job}.json"
    _check_place(path)
    data = record_of(store, job)
    _write(path, data)
    if not paper:
        return Written(path)
    pdf = make_paper(place, store, job, data)
    _write(path.with_suffix(".pdf"), pdf)
    return Written(path, path.with_suffix(".pdf"))


def record_of(store: Store, job: str) -> bytes:
    """Close and sign the record of a job, with the entries outside of it that it relies on.

    Parameters
    ----------
    store : Store
        Open for writing.
    job : str
        Id of the job.

    Returns
    -------
    bytes
        The same as long as nothing is added to the job.
    """
    add_sections(store, job)
    opened = fold(store.entries(job=job)).opened or {}
    versions = opened.get("shelf", ())
    also = [one["entry"] for one in versions]
    also += [made["entry"] for one in versions for made in one["confirmed"]]
    also += [entry.id for entry in tool_entries(store, job)]
    return store.record(job, also=also)


def make_paper(place: Workshop, store: Store, job: str, record: bytes) -> bytes:
    """Set a record as a paper; its hash is put on the log, once, before anybody has the paper.

    Parameters
    ----------
    place : Workshop
    store : Store
        Open for writing.
    job : str
        Id of the job.
    record : bytes
        As made by the store.

    Returns
    -------
    bytes
        PDF.
    """
    pdf = paper_of(record, place.papers)
    body = {
        "job": job,
        "sha256": hashlib.sha256(pdf).hexdigest(),
        "record_sha256": hashlib.sha256(record).hexdigest(),
        "version": __version__,
    }
    last = json.loads(record)["entries"][-1]["entry"]["id"]
    later = store.entries(since=store.line(last).index)
    if not any(one["kind"] == "paper_made" and one["body"] == body for one in later):
        store.append("paper_made", body, entry_id=str(uuid7()))
    return pdf


def paper_of(record: bytes, papers: Papers) -> bytes:
    """Set a record as a paper, with the traces kept beside the log.

    Parameters
    ----------
    record : bytes
    papers : Papers

    Returns
    -------
    bytes
        PDF.
    """
    entries = [row["entry"] for row in json.loads(record)["entries"]]
    names = named_recordings(fold(entries))
    return record_pdf(record, {name: papers.read(name) for name in sorted(names)})


def _check_place(path: Path) -> None:
    """Only a record may be written over, and only under a record's name."""
    if path.suffix != ".json":
        raise Refused(words("{file}: a record's name ends in .json", file=str(path)))
    if path.exists() and not (path.is_file() and path.read_bytes().startswith(b'{"checkpoint":')):
        raise Refused(words("{file} is there already and is no record", file=str(path)))


def _write(path: Path, data: bytes) -> None:
    """Write beside and rename, so that a full disk leaves what was there."""
    beside = path.with_name(f".{path.name}.new")
    try:
        path.parent.mkdir(parents=False, exist_ok=True)
        beside.write_bytes(data)
        beside.replace(path)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise Refused(
            words(
                "{file} cannot be written: {problem}",
                file=str(path),
                problem=str(error.strerror),
            )
        ) from error


def record_text(record: bytes, names: Mapping[str, str] | None = None) -> Iterator[str]:
    """Yield a record as plain lines, to read or to print.

    Parameters
    ----------
    record : bytes
        As made by the store.
    names : mapping of str to str, optional
        Names of people by id; the record itself holds none.

    Yields
    ------
    str
    """
    content = json.loads(record)
    found = verify(record)
    entries = [row["entry"] for row in content["entries"]]
    state = fold(entries)
    opened = dict(state.opened or {})
    plan = opened.get("plan", {})
    yield from _head(plan, found.fingerprint or "", content)
    for joint in plan.get("joints", ()):
        yield from _joint(joint, state, names or {})
    yield from _restarts(state)
    yield from (say(told(one)) for one in state.aside)
    yield from (say(held_words(one, names or {})) for one in state.unsigned)
    yield from _figures(entries)
    yield from _tools(opened, state, entries)
    yield from section_lines(entries)
    yield from _hands(entries, names or {})
    yield ""
    yield say(words("Signed state of the log:"))
    yield from (f"    {line}" for line in content["checkpoint"].splitlines())
    yield say(words("This shows what was written and by whose key, not that a reading was true."))


def _head(plan: dict[str, Any], key: str, content: dict[str, Any]) -> Iterator[str]:
    yield say(words("RECORD OF WORK: {title}", title=str(plan.get("title", content["job"]))))
    yield say(words("Machine: {machine}", machine=str(plan.get("machine", "?"))))
    if plan.get("invented"):
        yield say(words("Invented for demonstration: not for any real machine."))
    yield say(words("Key: {key}", key=key))
    yield say(words("The manufacturer's information comes first wherever it differs."))


def _joint(joint: dict[str, Any], state: JobState, names: Mapping[str, str]) -> Iterator[str]:
    yield ""
    yield f"== {joint['title']}"
    yield say(words("Procedure: {source}", source=str(joint.get("source") or "source not stated")))
    for line in provenance(state.opened or {}, joint["id"], names):
        yield f"   {say(line)}"
    for title, lines in told_of(joint["id"], state, names):
        yield f"-- {say(title)}"
        yield from (f"   {say(line)}" for line in lines)
    for stage in joint["stages"]:
        yield f"-- {stage['number']}. {stage['text']}"
        if not state.reached(joint["id"], stage["number"]):
            yield say(words("   not done yet"))
        for pull in state.pulls:
            if (pull.key.joint, pull.key.stage) == (joint["id"], stage["number"]):
                yield from _pull(pull)
                yield from _read_again(pull, state)
        for odd in odd_ones(state, joint["id"], stage["number"]):
            yield f"   {say(odd)}"


def _pull(pull: Pull) -> Iterator[str]:
    mark = ""
    if pull.taken_back:
        mark = say(words(" (taken back: {reason})", reason=pull.taken_back))
    elif pull.voided:
        mark = say(words(" (counts no more: this fastener was started again)"))
    elif pull.confirmed is False:
        mark = say(words(" (a second person read something else)"))
    elif pull.doubted:
        mark = say(words(" (doubtful: its wrench is in doubt)"))
    elif pull.accepted:
        mark = say(words(" (a person went on in spite of it)"))
    tool = pull.body.get("tool") or "by hand"
    yield (
        f"   {pull.key.fastener or '-':>3}  {reading_text(pull.body):<26} "
        f"{tool:<12} {pull.verdict}{mark}"
    )
    got = received_words(pull.body)
    if got is not None and "measured" in pull.body:
        yield f"        {say(words('measured: {value} (95 %)', value=got))}"
    turn = turn_of(pull.body)
    if turn is not None:
        drawn = clock_lines(turn.start, turn.angle, turn.turning)
        yield from (f"        {line}" for line in drawn)
    if pull.verdict != "within":
        yield from (f"        {say(reason)}" for reason in pull.reasons)


def _read_again(pull: Pull, state: JobState) -> Iterator[str]:
    """Tell what a second person read of a pull."""
    for one in state.read_again:
        if one["entry"] == pull.entry:
            told = words("a second person: {told}", told=from_data(one["told"]))
            yield f"        {say(told)}"


def _tools(
    opened: dict[str, Any], state: JobState, entries: Sequence[Mapping[str, Any]]
) -> Iterator[str]:
    """List the tools that were used, with what was known of them when the job began, and since."""
    told = told_of_tools(entries)
    used = {pull.body.get("tool") for pull in state.pulls}
    drawer = drawer_with(
        load_drawer(opened.get("drawer_file", "").encode(), DRAWER_FILE), opened.get("tools", {})
    )
    yield ""
    yield say(words("Tools used:"))
    for tool in drawer.tools:
        if tool.id not in used:
            continue
        yield say(_tool(tool))
        for line in told.get(tool.id, ()):
            yield f"      {say(line)}"


def _tool(tool: Tool) -> Words:
    if tool.calibration is None:
        return words("   {tool} ({id})", tool=tool.title, id=tool.id)
    return words(
        "   {tool} ({id}): calibrated {date}",
        tool=tool.title,
        id=tool.id,
        date=tool.calibration.date.isoformat(),
    )


def _restarts(state: JobState) -> Iterator[str]:
    for restart in state.restarts:
        yield say(
            words(
                "Fastener {fastener} of {joint} was loosened and started again: {reason}",
                fastener=restart["fastener"],
                joint=restart["joint"],
                reason=restart["reason"],
            )
        )


def _hands(entries: Sequence[Mapping[str, Any]], names: Mapping[str, str]) -> Iterator[str]:
    """Tell whose hands made the entries, where they say so."""
    hands = hands_of(entries)
    if not hands:
        return
    yield ""
    yield say(words("By whose hand:"))
    for hand in hands:
        done = ", ".join(say(one) for one in done_words(hand))
        yield f"   {say(who_words(hand, names))}: {done}"


def _figures(entries: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """Tell which figures were missing in this job, and where they were found."""
    for one in questions(entries):
        if one.found is None:
            yield say(words("No figure was found for: {what}", what=one.asked["what"]))
            continue
        yield say(
            words(
                "No figure stood in the procedure for: {what}. Found: {figure} ({source})",
                what=one.asked["what"],
                figure=one.found["figure"],
                source=one.found["source"],
            )
        )


def reading_text(body: Mapping[str, Any]) -> str:
    """Say what was handed in, in a few words."""
    reading = body["reading"]
    match reading["kind"]:
        case "value" | "angle":
            return f"{reading['value']} {reading['unit']}"
        case "marks" | "gauge" | "phone" | "stretch" | "while_turning":
            return say(reading_words(reading))
        case "click":
            setting = reading["setting"]
            what = "no click"
            if reading["clicked"]:
                what = "click, moved" if reading["moved"] else "click, stood still"
            return f"{setting['value']} {setting['unit']}: {what}"
        case "trace":
            found = body.get("found") or {}
            torque = found.get("final_torque_nm")
            ended = f" to {float(torque):.1f} N·m" if torque is not None else ""
            return f"trace {reading['paper'][:8]}{ended}"
        case _:
            return "done" if reading["done"] else "not done"

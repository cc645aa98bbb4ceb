"""Records of jobs: written as JSON that can be verified, and as plain lines to read or print."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from clampwright.bench.folder import DRAWER_FILE, Workshop
from clampwright.drawer.files import load_drawer
from clampwright.errors import Refused
from clampwright.locale import say
from clampwright.proof.verification import verify
from clampwright.store import Store
from clampwright.words import words
from clampwright.work.fold import JobState, Pull, fold


def write_record(place: Workshop, store: Store, job: str, out: Path | None = None) -> Path:
    """Write the record of a job.

    Parameters
    ----------
    place : Workshop
    store : Store
    job : str
        Id of the job.
    out : pathlib.Path or None
        Where to; ``records/<job>.json`` in the workshop folder if not given.

    Returns
    -------
    pathlib.Path

    Raises
    ------
    Refused
        When the file cannot be written.
    """
    path = out or place.records / f"{job}.json"
    data = store.record(job)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    except OSError as error:
        raise Refused(
            words(
                "{file} cannot be written: {problem}", file=str(path), problem=str(error.strerror)
            )
        ) from error
    return path


def record_text(record: bytes) -> Iterator[str]:
    """Yield a record as plain lines, to read or to print.

    Parameters
    ----------
    record : bytes
        As made by the store.

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
        yield from _joint(joint, state)
    yield from _restarts(state)
    yield from _tools(opened, state)
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


def _joint(joint: dict[str, Any], state: JobState) -> Iterator[str]:
    yield ""
    yield f"== {joint['title']}"
    yield say(words("Procedure: {source}", source=str(joint.get("source") or "source not stated")))
    for stage in joint["stages"]:
        yield f"-- {stage['number']}. {stage['text']}"
        if not state.reached(joint["id"], stage["number"]):
            yield say(words("   not done yet"))
        for pull in state.pulls:
            if (pull.key.joint, pull.key.stage) == (joint["id"], stage["number"]):
                yield from _pull(pull)


def _pull(pull: Pull) -> Iterator[str]:
    mark = ""
    if pull.voided:
        mark = say(words(" (counts no more: this fastener was started again)"))
    elif pull.accepted:
        mark = say(words(" (a person went on in spite of it)"))
    tool = pull.body.get("tool") or "by hand"
    yield (
        f"   {pull.key.fastener or '-':>3}  {reading_text(pull.body['reading']):<26} "
        f"{tool:<12} {pull.verdict}{mark}"
    )
    if pull.verdict != "within":
        yield from (f"        {say(reason)}" for reason in pull.reasons)


def _tools(opened: dict[str, Any], state: JobState) -> Iterator[str]:
    """List the tools that were used, with what their calibration said when the job began."""
    used = {pull.body.get("tool") for pull in state.pulls}
    drawer = load_drawer(opened.get("drawer_file", "").encode(), DRAWER_FILE)
    yield ""
    yield say(words("Tools used:"))
    for tool in drawer.tools:
        if tool.id not in used:
            continue
        calibration = tool.calibration
        if calibration is None:
            yield say(words("   {tool} ({id})", tool=tool.title, id=tool.id))
            continue
        yield say(
            words(
                "   {tool} ({id}): calibrated {date}",
                tool=tool.title,
                id=tool.id,
                date=calibration.date.isoformat(),
            )
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


def reading_text(reading: dict[str, Any]) -> str:
    """Say what was handed in, in a few words."""
    match reading["kind"]:
        case "value" | "angle":
            return f"{reading['value']} {reading['unit']}"
        case "click":
            setting = reading["setting"]
            what = "no click"
            if reading["clicked"]:
                what = "click, moved" if reading["moved"] else "click, stood still"
            return f"{setting['value']} {setting['unit']}: {what}"
        case "trace":
            return f"trace {reading['paper'][:12]}"
        case _:
            return "done" if reading["done"] else "not done"

"""A record, opened and folded, ready to be put on paper."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from clampwright.drawer import Drawer, load_drawer
from clampwright.drawer.pinned import drawer_with
from clampwright.errors import Refused
from clampwright.locale import say
from clampwright.proof.record import Verification, verify
from clampwright.proof.strictjson import parse_strict
from clampwright.tomlfile import read_toml
from clampwright.words import Words, words
from clampwright.work.fold import JobState, Pull, PullKey, fold
from clampwright.work.jobfile import JobFile, JointTable
from clampwright.work.sequence import WHOLE_JOINT

Plain = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Material:
    """Everything a paper is made from.

    Parameters
    ----------
    record : bytes
        As it was handed out.
    found : Verification
        What checking it gave; it holds.
    checkpoint : str
        The signed head of the log.
    entries : mapping of str to mapping
        The job's entries by their id, in the order of the log.
    state : JobState
    file : JobFile
        The job file as it was when the job was opened.
    drawer : Drawer
        The drawer as it was then.
    language : str or None
        Language tag of the paper.
    """

    record: bytes
    found: Verification
    checkpoint: str
    entries: Mapping[str, Plain]
    state: JobState
    file: JobFile
    drawer: Drawer
    language: str | None

    def say(self, sentence: Words | str) -> str:
        """Turn a sentence into text in the paper's language."""
        return say(sentence, self.language)

    @property
    def opened(self) -> Plain:
        """Body of the entry that opened the job."""
        return self.state.opened or {}

    @property
    def plan(self) -> Plain:
        """The plan, as the entry that opened the job holds it."""
        plan: Plain = self.opened["plan"]
        return plan

    @property
    def joints(self) -> Sequence[Plain]:
        """The planned joints."""
        joints: Sequence[Plain] = self.plan["joints"]
        return joints

    def table(self, joint: str) -> JointTable:
        """Return a joint as the job file has it."""
        return {table.id: table for table in self.file.joint}[joint]

    def joint(self, joint: str) -> Plain:
        """Return a joint as it was planned."""
        return {one["id"]: one for one in self.joints}[joint]

    def planned(self) -> Iterator[PullKey]:
        """Yield every planned pull, stage by stage."""
        for joint in self.joints:
            for stage in joint["stages"]:
                yield from keys_of(joint, stage)

    def pulls(self, joint: str, stage: int) -> list[Pull]:
        """Return the pulls of a stage in the order of the log, undone ones included."""
        return [p for p in self.state.pulls if (p.key.joint, p.key.stage) == (joint, stage)]

    def time(self, entry: str) -> str:
        """Return when an entry was written, short."""
        return clock(self.entries[entry]["recorded"])

    @property
    def last_time(self) -> str:
        """When the last entry of the job was written (RFC 3339, UTC)."""
        return str(list(self.entries.values())[-1]["recorded"])

    @property
    def last_day(self) -> date:
        """The day of the last entry of the job."""
        return datetime.fromisoformat(self.last_time).date()

    @property
    def sha256(self) -> str:
        """Of the record's bytes, hexadecimal."""
        return hashlib.sha256(self.record).hexdigest()


def keys_of(joint: Plain, stage: Plain) -> list[PullKey]:
    """Return the planned pulls of a stage."""
    if stage["stage"]["kind"] in WHOLE_JOINT:
        return [PullKey(joint["id"], stage["number"], 0)]
    return [PullKey(joint["id"], stage["number"], fastener) for fastener in stage["order"]]


def clock(time: str) -> str:
    """Return a time of the record to the minute.

    Examples
    --------
    >>> clock("2026-03-04T14:05:06.25Z")
    '2026-03-04 14:05 UTC'
    """
    return f"{datetime.fromisoformat(time):%Y-%m-%d %H:%M} UTC"


def open_record(record: bytes, language: str | None = None) -> Material:
    """Open a record and fold its entries.

    Parameters
    ----------
    record : bytes
        As made by `clampwright.proof.record.build`.
    language : str, optional
        Language tag of the paper.

    Returns
    -------
    Material

    Raises
    ------
    Refused
        When the record was altered, or holds no opened job: no paper is made from it.
    """
    found = verify(record)
    if not found.ok:
        raise Refused(
            words(
                "no paper was made, for the record does not hold: {finding}",
                finding=str(found.findings[0]),
            )
        )
    content = parse_strict(record, "record", exact=False)
    entries = {
        row["entry"]["id"]: row["entry"]
        for row in content["entries"]
        if row["entry"]["job"] == content["job"]
    }
    state = fold(entries.values())
    if state.opened is None:
        raise Refused(
            words("the record of {job} does not say what was planned", job=found.job or "")
        )
    return Material(
        record=record,
        found=found,
        checkpoint=content["checkpoint"],
        entries=entries,
        state=state,
        file=read_job(state.opened["job_file"]),
        drawer=drawer_with(
            load_drawer(state.opened["drawer_file"].encode("utf-8"), "drawer.toml"),
            state.opened.get("tools", {}),
        ),
        language=language,
    )


def read_job(text: str) -> JobFile:
    """Read the job file of a record; its procedure is not read again, the plan stands beside it."""
    return read_toml(text.encode("utf-8"), "job.toml", JobFile)

"""Thousands of pulls from one Parquet archive, judged in blocks by the compiled analysis.

The verdict of a pull is there at once; its sentences are made only for those that are asked. What
is out of the ordinary in any way (rows to be repaired, gaps, a torque that says nothing, a rate in
place of an angle) goes through the careful analysis, pull by pull.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import IO, TYPE_CHECKING, cast

import numpy as np

from clampwright.errors import BadFile
from clampwright.trace.curve import Curve
from clampwright.trace.features import Estimate, Features, Yield
from clampwright.trace.given import Given
from clampwright.trace.likelihood import tables_of
from clampwright.trace.model import Floats
from clampwright.trace.parquet_archive import Archive, Pulls
from clampwright.trace.patterns import PATTERNS
from clampwright.trace.strokes import Stroke, Turned
from clampwright.trace.verdict import FAULTS, VERDICTS, TraceVerdict, judge, verdict_of
from clampwright.trace.wind_up import Stiffness

if TYPE_CHECKING:
    from clampwright.trace.compiled.judged import Tables
    from clampwright.trace.compiled.told import Criteria, Known

COMPILED_FROM = 400_000
"""Rows from which compiling, once on a machine, is sooner paid back than not."""


@dataclass(frozen=True)
class Block:
    """What the compiled analysis found in the pulls of a block."""

    given: Given
    names: list[str]
    rows: Floats
    shares: Floats
    strokes: Floats

    @cached_property
    def answers(self) -> list[list[int]]:
        """Pattern, fault and verdict of each pull, as numbers."""
        rows = np.nan_to_num(self.rows[:, -3:]).astype(np.int64)
        return cast("list[list[int]]", rows.tolist())

    @cached_property
    def places(self) -> np.ndarray:
        """Where the strokes of each pull begin."""
        return np.searchsorted(self.strokes[:, 0], np.arange(len(self.names) + 1))


class JudgedPull:
    """One pull of an archive with its verdict; the whole of it is put into words when asked for.

    Parameters
    ----------
    pull : str
        Its name.
    found : TraceVerdict, BadFile or (Block, int)
        The verdict, or why the pull cannot be taken, or where it stands in a block.

    Attributes
    ----------
    pull, verdict, pattern : str
    fault : bool
    """

    __slots__ = ("_found", "fault", "pattern", "pull", "verdict")

    def __init__(self, pull: str, found: TraceVerdict | BadFile | tuple[Block, int]) -> None:
        self.pull, self._found = pull, found
        if isinstance(found, BadFile):
            self.verdict, self.pattern, self.fault = "not known", "normal", False
        elif isinstance(found, TraceVerdict):
            self.verdict, self.pattern, self.fault = found.verdict, found.pattern, found.fault
        else:
            block, place = found
            pattern, fault, verdict = block.answers[place]
            self.verdict, self.pattern = VERDICTS[verdict], PATTERNS[pattern]
            self.fault = fault == 1

    @property
    def likelihoods(self) -> Mapping[str, float]:
        """How likely each pattern is; empty for a pull that shows nothing."""
        if isinstance(self._found, BadFile):
            return {}
        if isinstance(self._found, TraceVerdict):
            return self._found.likelihoods
        block, place = self._found
        return dict(zip(PATTERNS, block.shares[place].tolist(), strict=True))

    def whole(self) -> TraceVerdict:
        """Return the verdict with its reasons.

        Returns
        -------
        TraceVerdict
            The same that `clampwright.trace.verdict.judge` gives.

        Raises
        ------
        BadFile
            For a pull that cannot be taken.
        """
        if isinstance(self._found, BadFile):
            raise self._found
        if isinstance(self._found, TraceVerdict):
            return self._found
        block, place = self._found
        from clampwright.trace.compiled.seen import COLUMNS  # noqa: PLC0415 - brings the compiler

        row = dict(zip(COLUMNS, block.rows[place].tolist(), strict=True))
        strokes = block.strokes[block.places[place] : block.places[place + 1], 1:]
        return verdict_of(_features(row, strokes), block.given, row["rate"])


GivenOf = Given | Callable[[str], Given]
"""What is known of all pulls, or what tells it of a pull by its name."""


def judge_archive(
    file: IO[bytes] | bytes, given: GivenOf, name: str = "archive", *, rows: int | None = None
) -> Iterator[JudgedPull]:
    """Judge the pulls of a Parquet archive, in constant memory.

    Parameters
    ----------
    file : bytes or binary file
        See `clampwright.trace.parquet_archive.traces_in`.
    given : Given or callable
        What is known: the same for all, or for the name of a pull. Pulls of which the same is known
        should stand together: they are judged at once.
    name : str
        Name of the file, for messages.
    rows : int, optional
        Rows that are to be judged in all, where this file is one of several.

    Yields
    ------
    JudgedPull
        In the order of the file.

    Raises
    ------
    BadFile
        If the file as a whole cannot be read.
    """
    archive = Archive(file, name)
    enough = max(archive.rows, rows or 0) >= COMPILED_FROM
    compiled = enough and archive.table.columns[2].role == "angle"
    told: dict[Given, tuple[Known, Criteria, Tables]] = {}
    for pulls in archive.blocks():
        for some, known in _alike(pulls, given):
            if compiled:
                told[known] = told.get(known) or _told(known)
                yield from _quickly(some, told[known], known)
            else:
                for place in range(len(some.names)):
                    yield _carefully(some, place, known)


def _alike(pulls: Pulls, given: GivenOf) -> Iterator[tuple[Pulls, Given]]:
    """Cut a block where what is known changes."""
    if isinstance(given, Given):
        yield pulls, given
        return
    known = [given(name) for name in pulls.names]
    first = 0
    for last in range(1, len(known) + 1):
        if last == len(known) or known[last] != known[first]:
            yield pulls.some(first, last), known[first]
            first = last


def _told(given: Given) -> tuple[Known, Criteria, Tables]:
    from clampwright.trace.compiled.judged import SOUND, Tables  # noqa: PLC0415 - brings the compiler
    from clampwright.trace.compiled.told import criteria, known  # noqa: PLC0415 - same

    faults = [VERDICTS.index(FAULTS[p]) if p in FAULTS else SOUND for p in PATTERNS]
    answers, middle, spread, prior = (np.ascontiguousarray(t) for t in tables_of())
    tables = Tables(answers, middle, spread, prior, np.log(spread), np.array(faults))
    return known(given), criteria(), tables


def _carefully(pulls: Pulls, place: int, given: Given) -> JudgedPull:
    trace = pulls.trace(place, given.angle_mode or "handle")
    name = pulls.names[place]
    if isinstance(trace, BadFile):
        return JudgedPull(name, trace)
    return JudgedPull(name, judge(trace, given))


def _quickly(
    pulls: Pulls, told: tuple[Known, Criteria, Tables], given: Given
) -> Iterator[JudgedPull]:
    from clampwright.trace.compiled.block import judged_block  # noqa: PLC0415 - brings the compiler
    from clampwright.trace.compiled.seen import COLUMNS, USABLE  # noqa: PLC0415 - same

    count = len(pulls.names)
    rows, shares = np.empty((count, len(COLUMNS))), np.empty((count, len(PATTERNS)))
    time, torque, angle = (
        _fixed(column if scale.scale == 1.0 else column * scale.scale)
        for column, scale in zip(pulls.columns, pulls.table.columns, strict=True)
    )
    strokes = judged_block((time, torque, angle), pulls.edges, told, rows, shares)
    block = Block(given, pulls.names, rows, shares, strokes)
    usable = rows[:, USABLE] == 1.0
    for place, name in enumerate(pulls.names):
        if usable[place]:
            yield JudgedPull(name, (block, place))
        else:
            yield _carefully(pulls, place, given)


def _fixed(column: Floats) -> Floats:
    """Return a column that cannot be written, whether its file gave it so or not.

    The compiler would otherwise make all of its work a second time for the other kind.
    """
    whole = np.ascontiguousarray(column).view()
    whole.flags.writeable = False
    return whole


def _features(row: Mapping[str, float], strokes: Floats) -> Features:
    """Put a row of the compiled analysis into the form of the careful one."""

    def estimate(name: str) -> Estimate | None:
        return None if math.isnan(row[name]) else Estimate(row[name], row[f"{name}_u"])

    def known(name: str) -> float | None:
        return None if math.isnan(row[name]) else row[name]

    bend = None
    if not math.isnan(row["yield_angle"]):
        bend = Yield(
            row["yield_angle"], row["yield_torque"], estimate("yield_clamp"), row["u_yield_angle"]
        )
    return Features(
        turned=_turned(row, strokes),
        curve=Curve(_NONE, _NONE, _NONE, row["roughness"]),
        final_torque=estimate("final"),
        peak_torque=row["peak"],
        top_torque=row["top"],
        last_torque=row["last"],
        way_above=row["way_above"],
        restart_only=bool(row["restart_only"]),
        snug_torque=row["snug_torque"],
        snug_angle=known("snug_angle"),
        u_snug_angle=known("u_snug_angle"),
        after_snug=estimate("after"),
        total=Estimate(row["total"], row["total_u"]),
        running_torque=known("running"),
        slope=estimate("slope"),
        early_slope=known("early"),
        late_slope=known("late"),
        yielded=bend,
        plateau=row["plateau"],
        drop=row["drop"],
        drop_way=row["drop_way"],
        end_slope=known("end_slope"),
        clamp=estimate("clamp"),
        nut_factor=known("nut_factor"),
    )


def _turned(row: Mapping[str, float], strokes: Floats) -> Turned:
    from clampwright.trace.compiled.cuts import ENDS  # noqa: PLC0415 - brings the compiler
    from clampwright.trace.compiled.tool import SOURCES  # noqa: PLC0415 - same

    done = tuple(
        Stroke(t0, t1, turned, ENDS[int(kind)], torque)
        for t0, t1, turned, kind, torque in strokes.tolist()
    )
    stiffness = 1.0 / row["compliance"] if row["compliance"] else None
    source = SOURCES[int(row["source"])]
    return Turned(
        angle=_NONE,
        moving=_NONE.astype(np.bool_),
        restarting=_NONE.astype(np.bool_),
        strokes=done,
        stiffness=Stiffness(stiffness, row["tool_u"], source, row["delay"], row["u_delay"]),
        pauses=(math.nan,) * int(row["pauses"]),
        slips=tuple(stroke.t1_s for stroke in done if stroke.end == "slipped"),
        u_angle=row["u_angle"],
        torque_noise=row["noise"],
        u_late=row["u_late"],
    )


_NONE = np.empty(0)

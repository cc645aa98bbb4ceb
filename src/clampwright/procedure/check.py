"""The stages of a joint against physics and good order, before the first pull.

Each rule looks at one thing and yields findings: numbers, a question, and why it matters. Nothing
is decided here, and nothing passes silently because a figure is missing: what cannot be checked is
a finding too. A new rule is a function that yields findings, one line in `check_stages`, and one
sentence in `clampwright.procedure.check_why`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from clampwright.joint.model import Fastening
from clampwright.procedure.check_angle import angle_findings
from clampwright.procedure.check_finding import (
    SEVERITIES,
    Finding,
    Severity,
    most_serious_first,
)
from clampwright.procedure.check_flow import Track, flow_findings, tracks
from clampwright.procedure.check_parts import Parts, parts_findings
from clampwright.procedure.check_physics import Reckoning, surface_of
from clampwright.procedure.check_surface import condition_of, surface_findings
from clampwright.procedure.check_torque import recheck_findings, torque_findings
from clampwright.procedure.reading import Limit
from clampwright.procedure.stage import Stage
from clampwright.standards import FrictionCondition, Thread
from clampwright.units import format_quantity
from clampwright.words import Words, words

__all__ = ["SEVERITIES", "Finding", "Severity", "check_stages", "most_serious_first"]

_PROCEDURE = "the procedure itself"

BOLTED = "bolted"
"""The sort of joint that lives from its clamp load; plugs, filters and bearing settings do not."""


def check_stages(
    stages: Sequence[Stage],
    *,
    fastening: Fastening | None,
    friction: FrictionCondition | None,
    kind: str = BOLTED,
    thread: Thread | None = None,
    lubrication: Sequence[str] = (),
    reuse: str | None = None,
    reuse_limit: Sequence[Limit] = (),
    members: Sequence[tuple[int, ...]] | None = None,
    fasteners: str = "",
    parts: Parts | None = None,
) -> tuple[Finding, ...]:
    """Check the stages of one joint.

    Parameters
    ----------
    stages : sequence of Stage
    fastening : Fastening or None
        Geometry and strength; None where they are not known.
    friction : FrictionCondition or None
        The stated surface condition; None where none is stated.
    kind : str
        ``bolted``; ``plug``, ``filter`` and ``bearing_setting`` need no share of the proof load,
        no strength and no surface condition.
    thread : Thread or None
        For the messages.
    lubrication : sequence of str
        What the text says: codes of a reading, such as ``oil_threads``.
    reuse : str or None
        What the text says: ``new_required`` or ``reuse_if_length_ok``.
    reuse_limit : sequence of Limit
        How long or how often used fasteners may be.
    members : sequence of tuple of int, optional
        The fastener numbers of each stage. Without them a label is a group of its own.
    fasteners : str
        ``new`` or ``used``: what is fitted; empty where nobody said.
    parts : Parts or None
        The thread they go into and what the face under the head bears, where known.

    Returns
    -------
    tuple of Finding
        Most serious first.

    Examples
    --------
    >>> from clampwright import standards
    >>> bolt = Fastening.from_standards(
    ...     standards.thread("M10"),
    ...     head=14.63,
    ...     hole=11.0,
    ...     strength=standards.strength("8.8", d=10),
    ... )
    >>> oiled = standards.friction("oiled")
    >>> check_stages([Stage("torque", 36.0, "N·m")], fastening=bolt, friction=oiled)
    ()
    >>> for one in check_stages([Stage("torque", 300.0, "ft·lbf")], fastening=bolt, friction=oiled):
    ...     print(one.severity, one.code, one.message)
    stop over_yield 300 ft·lbf would yield the fastener over the whole range: even at
    friction 0.16 it begins to yield at 48.2 ft·lbf
    stop unit_mix_up 300 ft·lbf fits this fastener only in another unit: in·lbf
    """
    reckoning = None
    if fastening is not None:
        surface = surface_of(condition_of(friction, lubrication))
        reckoning = Reckoning(fastening, surface)
    found: list[Finding] = []
    for track in tracks(stages, members):
        found += flow_findings(track, kind)
        if reckoning is not None and reckoning.strength_known:
            found += _physics(track, reckoning, kind, parts)
    if kind == BOLTED:
        found += _not_known(reckoning, thread)
        found += surface_findings(friction, lubrication)
        found += _stretches(stages)
    found += _reuse(reuse, reuse_limit, fasteners)
    return most_serious_first(found)


def _physics(
    track: Track, reckoning: Reckoning, kind: str, parts: Parts | None
) -> Iterator[Finding]:
    exempt = kind != BOLTED
    for number, stage in track.stages:
        if stage.kind == "torque":
            yield from torque_findings(
                number, stage, reckoning, final=number == track.final, exempt=exempt
            )
    yield from angle_findings(track.stages, reckoning, final=track.final, exempt=exempt)
    yield from recheck_findings(track.stages, reckoning)
    if parts is not None:
        yield from parts_findings(track.stages, reckoning, parts)


def _not_known(reckoning: Reckoning | None, thread: Thread | None) -> Iterator[Finding]:
    if reckoning is None:
        yield Finding(
            "no_thread",
            "ask",
            None,
            words("thread and head are not known: the figures were not checked"),
            question=words("Which thread is it? Measure diameter and pitch, and name the head"),
            source="a limit of this check",
        )
    elif not reckoning.strength_known:
        size = thread.name if thread else f"{reckoning.fastening.d:g} mm"
        yield Finding(
            "no_strength",
            "ask",
            None,
            words(
                "the strength of the {size} fastener is not known: the figures were not checked",
                size=size,
            ),
            question=words("What is marked on its head?"),
            source="a limit of this check",
        )


def _stretches(stages: Sequence[Stage]) -> Iterator[Finding]:
    for number, stage in enumerate(stages, 1):
        if stage.kind == "stretch":
            yield Finding(
                "stretch_not_checked",
                "note",
                number,
                words("the clamp load of a stretch is not reckoned"),
                source="a limit of this check",
            )


def _reuse(reuse: str | None, limits: Sequence[Limit], fasteners: str) -> Iterator[Finding]:
    if reuse == "new_required" and fasteners == "used":
        yield Finding(
            "reuse_forbidden",
            "stop",
            None,
            words("the procedure asks for new fasteners; the job fits used ones"),
            question=words("Are new ones at hand, or does the manual allow these elsewhere?"),
            source=_PROCEDURE,
        )
    elif reuse == "new_required":
        yield Finding(
            "new_fasteners",
            "note",
            None,
            words("the procedure asks for new fasteners: have them ready before you begin"),
            source=_PROCEDURE,
        )
    if reuse == "reuse_if_length_ok" or limits:
        yield Finding(
            "measure_before_reuse",
            "note",
            None,
            words("the procedure allows used fasteners only within a limit: look before you begin"),
            details=tuple(_limit_words(limit) for limit in limits),
            source=_PROCEDURE,
        )


def _limit_words(limit: Limit) -> Words:
    if limit.measure == "length_max":
        return words(
            "longest free length: {length}", length=format_quantity(limit.value, limit.unit or "mm")
        )
    return words("tightened at most {count:g} times", count=limit.value)

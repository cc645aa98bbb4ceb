"""The stages one after the other, as one fastener lives through them. Needs no physics."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from clampwright.procedure.check_finding import Finding
from clampwright.procedure.check_physics import target_nm
from clampwright.procedure.check_tables import limit
from clampwright.procedure.check_text import in_words, written
from clampwright.procedure.stage import Stage
from clampwright.words import Words, words

RELEASES = frozenset({"loosen", "back_off_then"})
TIGHTENS = frozenset({"torque", "angle", "stretch"})
Member = int | str
"""A fastener's number, or the label of a group whose numbers are not known."""

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Track:
    """What a group of fasteners goes through.

    Parameters
    ----------
    stages : tuple of (int, Stage)
        With their numbers, counted from 1, in working order.
    """

    stages: tuple[tuple[int, Stage], ...]

    @property
    def last_release(self) -> int:
        """Place after the last loosening; 0 where there is none."""
        places = [at for at, (_, stage) in enumerate(self.stages, 1) if stage.kind in RELEASES]
        return max(places, default=0)

    @property
    def final(self) -> int | None:
        """Number of the stage that leaves the fasteners as they will be, or None."""
        tightening = [
            number for number, stage in self.stages[self.last_release :] if stage.kind in TIGHTENS
        ]
        return tightening[-1] if tightening else None


def tracks(
    stages: Sequence[Stage], members: Sequence[tuple[int, ...]] | None = None
) -> tuple[Track, ...]:
    """Sort fasteners by what they go through.

    Parameters
    ----------
    stages : sequence of Stage
    members : sequence of tuple of int, optional
        The fastener numbers of each stage. Without them a label counts as a group of its own, and
        fasteners that only "all" means are taken to exist.

    Returns
    -------
    tuple of Track
        Groups that go through the same stages appear once.

    Examples
    --------
    >>> both = tracks([Stage("torque", 20.0, "N·m"), Stage("angle", 90.0, "deg", fasteners=(1,))])
    >>> sorted(track.final for track in both)
    [1, 2]
    """
    groups: list[set[Member]] = (
        _named_groups(stages) if members is None else [set(some) for some in members]
    )
    everyone = sorted({one for group in groups for one in group}, key=str)
    runs = {tuple(at for at, group in enumerate(groups) if one in group): None for one in everyone}
    return tuple(Track(tuple((at + 1, stages[at]) for at in run)) for run in runs)


def _named_groups(stages: Sequence[Stage]) -> list[set[Member]]:
    named: set[Member] = {"all"}
    for stage in stages:
        named |= _own(stage)
    return [named if stage.fasteners == "all" else _own(stage) for stage in stages]


def _own(stage: Stage) -> set[Member]:
    return {stage.fasteners} if isinstance(stage.fasteners, str) else set(stage.fasteners)


def flow_findings(track: Track, kind: str) -> Iterator[Finding]:
    """Yield what the sequence of stages gives to ask.

    Parameters
    ----------
    track : Track
    kind : str
        Sort of joint; see `clampwright.procedure.check.check_stages`.

    Yields
    ------
    Finding
    """
    if not track.stages:
        return
    yield from _left_loose(track, kind)
    yield from _angles_without_start(track)
    yield from _falling(track)
    yield from _figures_missing(track)
    if kind == "bolted":
        yield from _turned_on(track)


def _left_loose(track: Track, kind: str) -> Iterator[Finding]:
    if track.final is not None or kind == "bearing_setting":  # a bearing is often left backed off
        return
    if track.last_release:
        number = track.stages[track.last_release - 1][0]
        yield Finding(
            "loosened_not_retightened",
            "stop",
            number,
            words("after this loosening nothing tightens the fasteners again"),
            question=words("Is a stage missing, or does the manual go on elsewhere?"),
            source=PRACTICE,
        )
    elif kind == "bolted":
        yield Finding(
            "never_tightened",
            "stop",
            track.stages[-1][0],
            words("no stage tightens these fasteners to a torque, an angle or a stretch"),
            question=words("Where does the manual give the final figure?"),
            source=PRACTICE,
        )


def _angles_without_start(track: Track) -> Iterator[Finding]:
    started = False
    for number, stage in track.stages:
        if stage.kind in RELEASES:
            started = False
        elif stage.kind in {"torque", "snug", "torque_check"}:
            started = True
        elif stage.kind == "angle" and not started:
            started = True  # asked once; further angles go on from this one
            yield Finding(
                "angle_without_start",
                "ask",
                number,
                words("this angle has no torque or snug stage before it to count from"),
                question=words("From where is the angle counted: which torque comes first?"),
                source="preload torque seats the joint, the angle is zeroed at its end: "
                "US Army TM 10-3930-669-20, App. E",
            )


def _falling(track: Track) -> Iterator[Finding]:
    before: Stage | None = None
    for number, stage in track.stages:
        if stage.kind in RELEASES or stage.kind == "angle":
            before = None
        if stage.kind != "torque" or target_nm(stage) is None:
            continue
        now, then = target_nm(stage) or 0.0, target_nm(before) if before else None
        if then is not None and now < then * (1 - limit("same_torque").part):
            yield Finding(
                "torque_falls",
                "note",
                number,
                words(
                    "{torque} is less than the stage before it ({earlier}), with no loosening "
                    "between: the fastener will not move",
                    torque=written(stage),
                    earlier=in_words(then, stage.unit),
                ),
                question=words("Is a loosening stage missing, or a figure or unit wrong?"),
                numbers={"torque": (now, "N·m"), "torque_before": (then, "N·m")},
                source=f"{PRACTICE}; limit {limit('same_torque').source}",
            )
        before = stage


def _figures_missing(track: Track) -> Iterator[Finding]:
    for number, stage in track.stages:
        torque = stage.kind in {"torque", "torque_check"} and stage.check != "running"
        lacks_torque = torque and target_nm(stage) is None
        if lacks_torque or (stage.kind == "angle" and stage.angle_deg is None):
            yield Finding(
                "no_figure",
                "ask",
                number,
                words("this stage has no figure and no limit"),
                question=words("What does the manual give for it?"),
                source=PRACTICE,
            )


def _turned_on(track: Track) -> Iterator[Finding]:
    angled = False
    for number, stage in track.stages:
        if stage.kind in RELEASES:
            angled = False
        elif stage.kind == "angle":
            angled = True
        elif angled and stage.kind == "torque":
            yield _turned_on_finding(
                number, words("torque after an angle stage turns the fastener on, past its angle")
            )
        elif angled and stage.kind == "torque_check" and stage.check in {None, "re_check"}:
            yield _turned_on_finding(
                number,
                words(
                    "a torque check after an angle stage can turn the fastener on, past its angle"
                ),
            )
        elif (
            angled and stage.kind == "torque_check" and stage.check in {"final_minimum", "ceiling"}
        ):
            yield Finding(
                "read_while_turning",
                "note",
                number,
                words("read this torque at the end of the angle; do not turn on to find it"),
                source=PRACTICE,
            )


def _turned_on_finding(number: int, message: Words) -> Finding:
    return Finding(
        "turned_on_after_angle",
        "ask",
        number,
        message,
        question=words(
            "Does the manual really ask for it? It may belong to the loosening before, or to "
            "another fastener"
        ),
        source=f"{PRACTICE}: never check or tighten a yield-tightened fastener by turning it on",
    )

"""What a job is: one piece of work on one machine, as plain frozen data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from clampwright.errors import Missing, Refused
from clampwright.joint.model import Fastening
from clampwright.procedure.check_parts import Parts
from clampwright.procedure.reading import Reading
from clampwright.procedure.stage import Stage
from clampwright.standards import FrictionCondition, StrengthClass, Thread
from clampwright.words import Words, words
from clampwright.work.layout import Layout

JointKind = Literal["bolted", "plug", "filter", "bearing_setting"]
"""``bolted`` joints have a clamp load to compute; the others are set by turns and torque."""

NO_CLAMP_LOAD: Mapping[JointKind, Words] = MappingProxyType(
    {
        "plug": words(
            "No clamp load is worked out here: a plug's seal, crush washer or taper takes up the "
            "turn, and no formula says how much of it. Turns and torque count from where it first "
            "touches."
        ),
        "filter": words(
            "No clamp load is worked out here: the filter's seal takes up the turn, and no formula "
            "says how much of it. Turns count from where the seal first touches."
        ),
        "bearing_setting": words(
            "No clamp load is worked out here: what the bearing needs is its running torque or its "
            "play, not a clamp load."
        ),
    }
)
"""Why sorts of joints other than ``bolted`` have no clamp load, and what they go by instead."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a procedure was taken from, as the user names it.

    Parameters
    ----------
    title, edition, page : str
    """

    title: str
    edition: str = ""
    page: str = ""

    def __str__(self) -> str:
        return ", ".join(part for part in (self.title, self.edition, self.page) if part)


@dataclass(frozen=True, slots=True)
class Rules:
    """The workshop's own limits, for figures the procedure states without any.

    Parameters
    ----------
    torque_percent : float
        Half-width of the torque limits, percent of the target.
    angle_deg : float
        Half-width of the angle limits, degrees.
    """

    torque_percent: float
    angle_deg: float


@dataclass(frozen=True, slots=True)
class Pin:
    """Which version of which shelved procedure a joint is worked by.

    Parameters
    ----------
    procedure : str
        Id on the shelf.
    version : int
        From 1.
    sha256 : str
        Of its content.
    """

    procedure: str
    version: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Procedure:
    """The stages of a joint, with the text they were read from.

    Parameters
    ----------
    stages : tuple of Stage
        Empty while a question is open.
    text : str
        The written procedure; empty when the stages were given as tables.
    locale : str
        Language tag of the text.
    reading : Reading or None
        What was understood of the text.
    choice : int or None
        Number (from 1) of the reading a person chose, where the text is ambiguous.
    source : Source or None
        Where it was taken from.
    pin : Pin or None
        The version on the shelf, where it was taken from there.
    """

    stages: tuple[Stage, ...]
    text: str = ""
    locale: str = "en"
    reading: Reading | None = None
    choice: int | None = None
    source: Source | None = None
    pin: Pin | None = None

    @property
    def questions(self) -> tuple[Words, ...]:
        """What must be settled before the procedure can be used."""
        return () if self.stages or self.reading is None else self.reading.why


@dataclass(frozen=True, slots=True)
class Hold:
    """What must be found true between two stages before the work goes on.

    Parameters
    ----------
    after : int
        Number of the stage after which it is asked; 0 before the first.
    ask : str
        The question.
    answer : str
        ``yes`` for yes or no, ``figure`` for a measured value, ``note`` for words.
    unit : str
        Of a figure.
    low, high : float or None
        Limits of a figure, in `unit`.
    """

    after: int
    ask: str
    answer: Literal["yes", "figure", "note"] = "yes"
    unit: str = ""
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Joint:
    """Parts clamped by one set of fasteners.

    Parameters
    ----------
    id, title : str
    kind : str
        See `JointKind`.
    harm_level : int
        What happens if the joint fails: 1 life or limb, 2 breakdown, 3 annoyance.
    layout : Layout
    procedure : Procedure
    thread : Thread or None
    strength : StrengthClass or None
    fastening : Fastening or None
        Geometry and material for the mechanics; None where no clamp load is computed.
    friction : FrictionCondition or None
        The stated surface condition; None when none is stated.
    left_hand : bool
        Left-hand thread: tightened counter-clockwise.
    groups : mapping of str to tuple of int
        Fasteners by the label a procedure gives them.
    order : tuple of int or None
        The order the maker gives; None where the general one is to be used.
    space : str
        What to know about reaching the fasteners.
    adapter : str or None
        Id of the open-end adapter that reaching them needs.
    fitted : str
        ``new`` or ``used``: which fasteners are fitted; empty where nobody said.
    parts : Parts
        What is known of the thread they go into and of the face under the head.
    has : tuple of str
        What belongs to the joint, in the words of `clampwright.procedure.preparation.features`.
    holds : tuple of Hold
        Hold points between the stages.
    adjusting : str
        How it is adjusted, see `clampwright.procedure.adjusting.Way`; empty for other joints.
    slots : int or None
        Slots of a castle nut, all round.
    """

    id: str
    title: str
    kind: JointKind
    harm_level: int
    layout: Layout
    procedure: Procedure
    thread: Thread | None = None
    strength: StrengthClass | None = None
    fastening: Fastening | None = None
    friction: FrictionCondition | None = None
    left_hand: bool = False
    groups: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    order: tuple[int, ...] | None = None
    space: str = ""
    adapter: str | None = None
    fitted: str = ""
    parts: Parts = field(default_factory=Parts)
    has: tuple[str, ...] = ()
    holds: tuple[Hold, ...] = ()
    adjusting: str = ""
    slots: int | None = None

    def fasteners_of(self, stage: Stage) -> tuple[int, ...]:
        """Return the fastener numbers a stage applies to.

        Parameters
        ----------
        stage : Stage

        Returns
        -------
        tuple of int

        Raises
        ------
        Missing
            When the stage names fasteners this joint does not have.
        """
        if stage.fasteners == "all":
            return self.layout.numbers
        if isinstance(stage.fasteners, str):
            return self._labelled(stage.fasteners)
        strange = sorted(set(stage.fasteners) - set(self.layout.numbers))
        if strange:
            raise Missing(
                words(
                    "the procedure of {joint} names fastener {number}, but the joint has 1 to "
                    "{count}",
                    joint=self.id,
                    number=strange[0],
                    count=self.layout.count,
                ),
                needed="fasteners",
            )
        return stage.fasteners

    def _labelled(self, label: str) -> tuple[int, ...]:
        groups = {name.casefold(): numbers for name, numbers in self.groups.items()}
        if label.casefold() in groups:
            return groups[label.casefold()]
        if self.layout.count == 1:
            return (1,)
        raise Missing(
            words(
                "which fasteners of {joint} are {label!r}? Name their numbers in a groups table",
                joint=self.id,
                label=label,
            ),
            needed="groups",
        )


@dataclass(frozen=True, slots=True)
class Job:
    """One piece of work on one machine.

    Parameters
    ----------
    id, title, machine : str
    joints : tuple of Joint
    rules : Rules
        Limits where the procedure states none.
    invented : bool
        True for demonstration data.
    """

    id: str
    title: str
    machine: str
    joints: tuple[Joint, ...]
    rules: Rules
    invented: bool = False

    def joint(self, joint_id: str) -> Joint:
        """Return a joint by its id.

        Raises
        ------
        Refused
            When the job has no such joint.
        """
        for joint in self.joints:
            if joint.id == joint_id:
                return joint
        raise Refused(
            words(
                "job {job} has no joint {joint!r}; it has {known}",
                job=self.id,
                joint=joint_id,
                known=", ".join(joint.id for joint in self.joints),
            )
        )

"""A job as a person writes it: the TOML file, checked and turned into a `Job`.

Everything that is needed and not given is refused here by name; nothing is filled in silently.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Literal

from pydantic import Field, StringConstraints, model_validator

from clampwright import standards
from clampwright.errors import BadFile, ClampwrightError, Missing
from clampwright.joint.model import Fastening
from clampwright.joint.stripping import STEEL_SHEAR
from clampwright.procedure.adjusting import Way
from clampwright.procedure.check_parts import Engagement, Parts
from clampwright.procedure.preparation import features
from clampwright.procedure.reader import read
from clampwright.procedure.toml_form import StageTable, stages_from_tables
from clampwright.standards import FrictionCondition
from clampwright.standards.tables import nearest
from clampwright.tomlfile import FileModel, read_toml
from clampwright.units import parse_quantity, unit_named
from clampwright.words import words
from clampwright.work import layout as layouts
from clampwright.work.friction_file import condition_named
from clampwright.work.job import Hold, Job, Joint, JointKind, Procedure, Rules, Source
from clampwright.work.layout import Layout
from clampwright.work.shelf import EMPTY, Shelf
from clampwright.work.shelved import shelved

Identifier = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$")]
Text = Annotated[str, StringConstraints(min_length=1, max_length=200)]
Positive = Annotated[float, Field(gt=0)]


class SourceTable(FileModel):
    """Where a procedure was taken from."""

    title: Text
    edition: str = ""
    page: str = ""


class ProcedureTable(FileModel):
    """The written text, the stages as tables, or a version on the shelf."""

    text: str = ""
    locale: str = "en"
    choice: Annotated[int, Field(ge=1)] | None = None
    stage: tuple[StageTable, ...] = ()
    source: SourceTable | None = None
    shelf: Identifier | None = None
    version: Annotated[int, Field(ge=1)] | None = None
    sha256: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")] | None = None

    @model_validator(mode="after")
    def _one_of_three(self) -> ProcedureTable:
        if sum(map(bool, (self.text, self.stage, self.shelf))) != 1:
            raise ValueError("give the procedure as text, as stage tables, or as shelf and version")
        return self

    @model_validator(mode="after")
    def _shelf_is_exact(self) -> ProcedureTable:
        if (self.shelf is None) != (self.version is None):
            raise ValueError("shelf and version belong together: a job pins one exact version")
        if self.shelf is None and self.sha256 is not None:
            raise ValueError("sha256 is that of a version on the shelf")
        strange = {"locale", "choice", "source"} & self.model_fields_set
        if self.shelf is not None and strange:
            raise ValueError(f"{min(strange)} stands on the shelf, with the version")
        return self


class LayoutTable(FileModel):
    """Where the fasteners sit."""

    pattern: Literal["circle", "row", "grid", "list", "single"]
    count: Annotated[int, Field(ge=1, le=layouts.MAX_FASTENERS)] | None = None
    diameter_mm: Positive | None = None
    pitch_mm: Positive | None = None
    rows: Annotated[int, Field(ge=1, le=100)] | None = None
    columns: Annotated[int, Field(ge=1, le=100)] | None = None
    pitch_x_mm: Positive | None = None
    pitch_y_mm: Positive | None = None
    positions_mm: tuple[tuple[float, float], ...] = ()

    @model_validator(mode="after")
    def _has_its_measures(self) -> LayoutTable:
        lacking = [key for key in _MEASURES[self.pattern] if not getattr(self, key)]
        if lacking:
            raise ValueError(f"a {self.pattern} layout needs {', '.join(lacking)}")
        return self

    def build(self) -> Layout:
        """Return the positions."""
        if self.pattern == "circle":
            return layouts.circle(self.count or 0, self.diameter_mm or 0.0)
        if self.pattern == "row":
            return layouts.row(self.count or 0, self.pitch_mm or 0.0)
        if self.pattern == "grid":
            return layouts.grid(
                self.rows or 0, self.columns or 0, self.pitch_x_mm or 0.0, self.pitch_y_mm or 0.0
            )
        return layouts.listed(self.positions_mm or ((0.0, 0.0),))


_MEASURES = {
    "circle": ("count", "diameter_mm"),
    "row": ("count", "pitch_mm"),
    "grid": ("rows", "columns", "pitch_x_mm", "pitch_y_mm"),
    "list": ("positions_mm",),
    "single": (),
}


class BearingTable(FileModel):
    """The face under the part that turns."""

    outer_mm: Positive
    inner_mm: Positive

    @model_validator(mode="after")
    def _ring(self) -> BearingTable:
        if self.inner_mm >= self.outer_mm:
            raise ValueError(
                f"inner_mm {self.inner_mm:g} must be smaller than outer_mm {self.outer_mm:g}"
            )
        return self


class LayerTable(FileModel):
    """One of the clamped layers, in order from the head."""

    thickness_mm: Positive
    modulus_MPa: Positive


class StiffnessTable(FileModel):
    """The clamp rate itself, or what the simple bolt and cone need for it."""

    free_thread_mm: Annotated[float, Field(ge=0)] = 0.0
    clamp_rate_N_per_deg: Positive | None = None
    grip_mm: Positive | None = None
    shank_mm: Annotated[float, Field(ge=0)] = 0.0
    outside_mm: Positive | None = None
    tapped: bool = False
    part_modulus_MPa: Positive = 205_000.0
    layer: tuple[LayerTable, ...] = ()
    tapped_modulus_MPa: Positive | None = None

    @model_validator(mode="after")
    def _one_way_only(self) -> StiffnessTable:
        ways = (self.clamp_rate_N_per_deg is not None, self.grip_mm is not None, bool(self.layer))
        if sum(ways) != 1:
            raise ValueError(
                "give one of clamp_rate_N_per_deg, grip_mm with outside_mm, or layer tables with"
                " outside_mm"
            )
        if self.clamp_rate_N_per_deg is None and self.outside_mm is None:
            given = "layer" if self.layer else "grip_mm"
            raise ValueError(f"{given} needs outside_mm, the outside diameter of the clamped parts")
        return self

    @model_validator(mode="after")
    def _layers_have_their_own_moduli(self) -> StiffnessTable:
        if self.layer and "part_modulus_MPa" in self.model_fields_set:
            raise ValueError("each layer has its own modulus_MPa; leave out part_modulus_MPa")
        if (self.tapped_modulus_MPa is not None) != (bool(self.layer) and self.tapped):
            raise ValueError(
                "tapped_modulus_MPa, the modulus of the part with the tapped hole, is needed with"
                " layer tables and tapped = true, and only then"
            )
        return self


class EngagementTable(FileModel):
    """The thread the fasteners are screwed into."""

    length_mm: Positive
    strength_MPa: Positive
    shear_ratio: Annotated[float, Field(gt=0, le=2)] | None = None
    flats_mm: Positive | None = None


class HoldTable(FileModel):
    """A question between two stages."""

    after: Annotated[int, Field(ge=0, le=1000)]
    ask: Text
    answer: Literal["yes", "figure", "note"] = "yes"
    unit: str = ""
    low: float | None = None
    high: float | None = None

    @model_validator(mode="after")
    def _figure_has_its_unit(self) -> HoldTable:
        limited = self.low is not None or self.high is not None
        if self.answer == "figure" and not (self.unit and limited):
            raise ValueError("a figure needs its unit, and low or high or both")
        if self.answer != "figure" and (self.unit or limited):
            raise ValueError('unit, low and high belong to answer = "figure"')
        if self.low is not None and self.high is not None and self.low > self.high:
            raise ValueError(f"low {self.low:g} must not be above high {self.high:g}")
        return self


class JointTable(FileModel):
    """One joint of a job."""

    id: Identifier
    title: Text
    kind: JointKind = "bolted"
    harm_level: Literal[1, 2, 3]
    layout: LayoutTable
    procedure: ProcedureTable
    thread: str | None = None
    strength: str | None = None
    head: str | None = None
    hole: Literal["fine", "medium", "coarse"] = "medium"
    bearing: BearingTable | None = None
    stiffness: StiffnessTable | None = None
    friction: str | None = None
    prevailing_torque: str | None = None
    left_hand: bool = False
    groups: dict[str, tuple[int, ...]] = Field(default_factory=dict)
    order: tuple[int, ...] | None = None
    space: str = ""
    adapter: Identifier | None = None
    fitted: Literal["new", "used"] | None = None
    under_head: str | None = None
    engagement: EngagementTable | None = None
    has: tuple[str, ...] = ()
    adjusting: Way | None = None
    slots: Annotated[int, Field(ge=2, le=24)] | None = None
    hold: tuple[HoldTable, ...] = ()


class RulesTable(FileModel):
    """The workshop's limits for figures stated without any."""

    torque_percent: Annotated[float, Field(gt=0, le=50)]
    angle_deg: Annotated[float, Field(gt=0, le=45)]


class JobTable(FileModel):
    """The head of a job file."""

    id: Identifier
    title: Text
    machine: Text


class JobFile(FileModel):
    """A whole job file."""

    invented: bool = False
    job: JobTable
    rules: RulesTable
    joint: Annotated[tuple[JointTable, ...], Field(min_length=1)]


def load_job(
    data: bytes,
    name: str,
    *,
    friction: Sequence[FrictionCondition] = (),
    shelf: Shelf = EMPTY,
) -> Job:
    """Read a job file.

    Parameters
    ----------
    data : bytes
        TOML, UTF-8.
    name : str
        The file's name, for messages.
    friction : sequence of FrictionCondition
        The workshop's own conditions, which the file may name beside those of the tables.
    shelf : Shelf
        The workshop's shelved procedures, which the file may name.

    Returns
    -------
    Job

    Raises
    ------
    BadFile
        With file, line and what was expected.
    """
    table = read_toml(data, name, JobFile)
    ids = [joint.id for joint in table.joint]
    if len(set(ids)) != len(ids):
        raise BadFile(words("{file}: two joints have the same id", file=name), file=name)
    joints = []
    for joint in table.joint:
        try:
            joints.append(_joint(joint, friction, shelf))
        except ClampwrightError as error:
            raise BadFile(
                words(
                    "{file}, joint {joint}: {problem}",
                    file=name,
                    joint=joint.id,
                    problem=error.message,
                ),
                file=name,
            ) from error
    return Job(
        table.job.id,
        table.job.title,
        table.job.machine,
        tuple(joints),
        Rules(table.rules.torque_percent, table.rules.angle_deg),
        table.invented,
    )


def _joint(table: JointTable, own: Sequence[FrictionCondition], shelf: Shelf) -> Joint:
    layout = table.layout.build()
    thread = standards.thread(table.thread) if table.thread else None
    strength = standards.strength(table.strength, d=thread.d) if table.strength and thread else None
    joint = Joint(
        id=table.id,
        title=table.title,
        kind=table.kind,
        harm_level=table.harm_level,
        layout=layout,
        procedure=_procedure(table.procedure, shelf),
        thread=thread,
        strength=strength,
        fastening=_fastening(table, thread, strength),
        friction=condition_named(table.friction, own) if table.friction else None,
        left_hand=table.left_hand,
        groups=table.groups,
        order=table.order,
        space=table.space,
        adapter=table.adapter,
        fitted=table.fitted or "",
        parts=_parts(table, thread),
        has=_features(table.has),
        holds=_holds(table.hold),
        adjusting=table.adjusting or "",
        slots=table.slots,
    )
    _check_numbers(joint)
    return joint


def _check_numbers(joint: Joint) -> None:
    known = set(joint.layout.numbers)
    if joint.order is not None and sorted(joint.order) != sorted(known):
        raise Missing(
            words(
                "order must name every fastener from 1 to {count} once", count=joint.layout.count
            ),
            needed="order",
        )
    for label, numbers in joint.groups.items():
        strange = sorted(set(numbers) - known)
        if strange:
            raise Missing(
                words(
                    "group {label!r} names fastener {number}, but the joint has 1 to {count}",
                    label=label,
                    number=strange[0],
                    count=joint.layout.count,
                ),
                needed="groups",
            )
    for stage in joint.procedure.stages:
        joint.fasteners_of(stage)
    count = len(joint.procedure.stages)
    late = next((hold.after for hold in joint.holds if count and hold.after > count), None)
    if late is not None:
        raise Missing(
            words(
                "a hold stands after stage {after}, but the procedure has {count} stages",
                after=late,
                count=count,
            ),
            needed="hold",
        )


def _procedure(table: ProcedureTable, shelf: Shelf) -> Procedure:
    if table.shelf is not None:
        return shelved(shelf.version(table.shelf, table.version or 0, table.sha256))
    source = Source(**table.source.model_dump()) if table.source else None
    if table.stage:
        return Procedure(stages_from_tables(table.stage), source=source)
    reading = read(table.text, table.locale)
    if reading.status == "refused":
        raise Missing(
            words("no procedure can be taken from the text: {why}", why=reading.error.say)
            if reading.error
            else words("no procedure can be taken from the text"),
            needed="procedure",
        )
    stages = reading.stages if reading.status == "ok" else ()
    if reading.status == "ambiguous" and table.choice is not None:
        if table.choice > len(reading.candidates):
            raise Missing(
                words(
                    "choice = {choice}, but the text has {count} readings to choose from",
                    choice=table.choice,
                    count=len(reading.candidates),
                ),
                needed="choice",
            )
        stages = reading.candidates[table.choice - 1]
    return Procedure(stages, table.text, table.locale, reading, table.choice, source)


def _fastening(
    table: JointTable,
    thread: standards.Thread | None,
    strength: standards.StrengthClass | None,
) -> Fastening | None:
    """Gather what the mechanics need; None for joints whose clamp load is not computed."""
    if thread is None or table.kind != "bolted":
        return None
    head, hole = _bearing(table, thread)
    prevailing = (
        parse_quantity(table.prevailing_torque, "torque").value if table.prevailing_torque else 0.0
    )
    fastening = Fastening.from_standards(
        thread,
        strength=strength,
        head=head,
        hole=hole,
        prevailing_torque=prevailing,
    )
    return _with_stiffness(fastening, table.stiffness)


def _holds(tables: Sequence[HoldTable]) -> tuple[Hold, ...]:
    return tuple(
        Hold(
            one.after,
            one.ask,
            one.answer,
            unit_named(one.unit).name if one.unit else "",
            one.low,
            one.high,
        )
        for one in tables
    )


def _features(names: tuple[str, ...]) -> tuple[str, ...]:
    known = list(features())
    strange = next((name for name in names if name not in known), None)
    if strange is not None:
        raise Missing(
            words(
                "has names {name!r}, which the preparation list does not know; it knows {known}",
                name=strange,
                known=", ".join(nearest(strange, known) or known),
            ),
            needed="has",
        )
    return names


def _parts(table: JointTable, thread: standards.Thread | None) -> Parts:
    engagement = None
    if table.engagement is not None:
        given = table.engagement
        if given.flats_mm is not None and thread is None:
            raise Missing(words("flats_mm needs the thread it belongs to"), needed="thread")
        engagement = Engagement(
            given.length_mm,
            given.strength_MPa,
            STEEL_SHEAR if given.shear_ratio is None else given.shear_ratio,
            given.flats_mm / thread.d if given.flats_mm and thread else None,
        )
    return Parts(
        engagement,
        standards.bearing_pressure_limit(table.under_head) if table.under_head else None,
        tapped=table.stiffness is not None and table.stiffness.tapped,
    )


def _with_stiffness(fastening: Fastening, table: StiffnessTable | None) -> Fastening:
    if table is None:
        return fastening
    if table.clamp_rate_N_per_deg is not None:
        return fastening.with_clamp_rate(
            table.clamp_rate_N_per_deg, free_thread=table.free_thread_mm
        )
    if table.layer:
        return fastening.with_layered_joint(
            thicknesses=[layer.thickness_mm for layer in table.layer],
            moduli=[layer.modulus_MPa for layer in table.layer],
            shank_length=table.shank_mm,
            outside=table.outside_mm or 0.0,
            E_tapped=table.tapped_modulus_MPa,
        )
    return fastening.with_simple_joint(
        grip=table.grip_mm or 0.0,
        shank_length=table.shank_mm,
        outside=table.outside_mm or 0.0,
        E_parts=table.part_modulus_MPa,
        joint="tapped" if table.tapped else "through",
    )


def _bearing(
    table: JointTable, thread: standards.Thread
) -> tuple[standards.Head | float, standards.Hole | float]:
    if table.bearing is not None:
        return table.bearing.outer_mm, table.bearing.inner_mm
    if table.head is None:
        raise Missing(
            words(
                "give head (and hole), or a bearing table with outer_mm and inner_mm: friction "
                "under the head depends on them"
            ),
            needed="head",
        )
    return standards.head(table.head, thread.name), standards.hole(thread.name, table.hole)

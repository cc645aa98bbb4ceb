"""The charts of a job, all drawn at once: what was to expect, and the recorded pulls."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from clampwright.drawer.tools import Tool
from clampwright.errors import Refused
from clampwright.report.axes import Spec, Style
from clampwright.report.charts import charts_svg, torque_angle_chart
from clampwright.report.marked import Marked
from clampwright.report.overlay import Recorded, overlay_chart
from clampwright.report.paper.expected import Expected, expected_charts
from clampwright.report.paper.material import Material, Plain
from clampwright.trace.model import Trace
from clampwright.trace.reading import read_csv
from clampwright.units import convert
from clampwright.words import Words, words
from clampwright.work.corrected import corrected
from clampwright.work.fold import Pull

_LOOSENING = frozenset({"loosen", "back_off_then"})

Place = tuple[str, int]
"""A joint and one of its stages."""


@dataclass(frozen=True, slots=True)
class Curves:
    """Charts of a job.

    Parameters
    ----------
    stages : mapping of (str, int) to str
        SVG of all recorded pulls of a stage over one another.
    pulls : mapping of str to str
        SVG of single pulls, by the id of their entry.
    missing : mapping of (str, int) to tuple of Words
        Which recordings were not at hand.
    expected : mapping of Expected to str
        SVG of what the plan expects.
    """

    stages: Mapping[Place, str]
    pulls: Mapping[str, str]
    missing: Mapping[Place, tuple[Words, ...]]
    expected: Mapping[Expected, str]

    def of_stage(self, joint: str, stage: int) -> str:
        """Return the chart of a stage, or nothing."""
        return self.stages.get((joint, stage), "")

    def of_pull(self, entry: str) -> str:
        """Return the chart of a pull, or nothing."""
        return self.pulls.get(entry, "")

    def lost(self, joint: str, stage: int) -> tuple[Words, ...]:
        """Say which recordings of a stage were not at hand."""
        return self.missing.get((joint, stage), ())


def draw_curves(material: Material, traces: Mapping[str, bytes]) -> Curves:
    """Draw what the plan expects and the recorded pulls of a job, all in one go.

    Each stage with several standing recordings gets one chart of all of them; each pull that is
    not within or was undone, and each recording that stands alone, gets a chart of its own.

    Parameters
    ----------
    material : Material
    traces : mapping of str to bytes
        Trace files by the SHA-256 that stands in their entries.

    Returns
    -------
    Curves

    Raises
    ------
    Refused
        When a file is not the one its entry names, or cannot be drawn.
    BadFile
        When a file is not a trace.
    """
    style = Style(language=material.language)
    specs = dict[Place | str | Expected, Spec](expected_charts(material).items())
    missing: dict[Place, tuple[Words, ...]] = {}
    for place, pulls in _recorded(material).items():
        known = {p.entry: _load(material, p, traces) for p in pulls if _paper(p) in traces}
        absent = tuple(_absent(pull) for pull in pulls if pull.entry not in known)
        if absent:
            missing[place] = absent
        standing = [known[p.entry] for p in pulls if p.entry in known and not p.voided]
        together = len(standing) > 1
        if together:
            specs[place] = overlay_chart(standing, style=style)
        for pull in pulls:
            alone = not together or pull.verdict != "within" or pull.voided
            if pull.entry in known and alone:
                specs[pull.entry] = _own_chart(known[pull.entry], style)
    drawn = dict(zip(specs, charts_svg(list(specs.values())), strict=True))
    return Curves(
        stages={key: svg for key, svg in drawn.items() if isinstance(key, tuple)},
        pulls={key: svg for key, svg in drawn.items() if isinstance(key, str)},
        missing=missing,
        expected={key: svg for key, svg in drawn.items() if isinstance(key, Expected)},
    )


def _recorded(material: Material) -> dict[Place, list[Pull]]:
    places: dict[Place, list[Pull]] = {}
    for pull in material.state.pulls:
        if pull.body["reading"]["kind"] == "trace":
            places.setdefault((pull.key.joint, pull.key.stage), []).append(pull)
    return places


def _paper(pull: Pull) -> str:
    return str(pull.body["reading"]["paper"])


def _absent(pull: Pull) -> Words:
    return words(
        "The recording of fastener {fastener} was not at hand: {paper}.",
        fastener=pull.key.fastener,
        paper=_paper(pull),
    )


def _load(material: Material, pull: Pull, traces: Mapping[str, bytes]) -> Recorded:
    data, paper = traces[_paper(pull)], _paper(pull)
    if hashlib.sha256(data).hexdigest() != paper:
        raise Refused(words("the recording {paper} is not the one the record names", paper=paper))
    tools = [one for one in material.drawer.tools if one.id == pull.body.get("tool")]
    return Recorded(
        label=str(pull.key.fastener),
        trace=_trace(material, pull, data, tools[0] if tools else None),
        marked=Marked.from_body(pull.body),
        stiffness=tools[0].stiffness if tools else None,
        held=torque_before(material, pull),
    )


def _trace(material: Material, pull: Pull, data: bytes, tool: Tool | None) -> Trace:
    """Read a recording as it was judged: what its angle is, its deviation, adapter, direction."""
    mode = tool.angle.mode if tool and tool.angle and tool.angle.mode else "handle"
    trace = read_csv(data, _paper(pull), angle_mode=mode)
    if tool is None:
        return trace
    joint = material.joint(pull.key.joint)
    stage = joint["stages"][pull.key.stage - 1]["stage"]
    left = bool(joint.get("left_hand")) or stage.get("direction") == "ccw"
    named = pull.body.get("adapter")
    adapter = material.drawer.adapter(named) if named else None
    return corrected(
        trace,
        tool,
        adapter=adapter,
        direction="ccw" if left != (stage["kind"] in _LOOSENING) else "cw",
    )


def _own_chart(recorded: Recorded, style: Style) -> Spec:
    return torque_angle_chart(
        recorded.trace,
        recorded.marked,
        stiffness=recorded.stiffness,
        held=recorded.held,
        style=style,
    )


def torque_before(material: Material, pull: Pull) -> float:
    """Return the torque a fastener was last taken to by an earlier stage, N·m; 0 when loosened."""
    before = material.joint(pull.key.joint)["stages"][: pull.key.stage - 1]
    return _last_torque([stage["stage"] for stage in before])


def _last_torque(stages: Sequence[Mapping[str, Any] | Plain]) -> float:
    torque = 0.0
    for stage in stages:
        if stage["kind"] == "torque" and stage["value"] is not None:
            torque = float(convert(float(stage["value"]), str(stage["unit"]), "N·m"))
        elif stage["kind"] in _LOOSENING:
            torque = 0.0
    return torque

"""What to expect of each joint, as charts: computed again from the job file in the record."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from clampwright.errors import ClampwrightError
from clampwright.joint.narrowing import narrowing
from clampwright.report.axes import Spec, Style
from clampwright.report.clamp_charts import CHART_TITLES, Show, charts_of, last_band, unit_of
from clampwright.report.paper.material import Material
from clampwright.words import Words, words
from clampwright.work.pinned import pinned
from clampwright.work.plan import Plan


@dataclass(frozen=True, slots=True)
class Expected:
    """Names a chart of what to expect.

    Parameters
    ----------
    joint : str
    show : str
    """

    joint: str
    show: Show

    @property
    def title(self) -> Words:
        """What the chart shows."""
        return CHART_TITLES[self.show]


def expected_charts(material: Material) -> dict[Expected, Spec]:
    """Return the charts of what the plan expects, joint by joint.

    Parameters
    ----------
    material : Material

    Returns
    -------
    dict of Expected to dict
        Vega-Lite specifications without a heading: the paper has its own.
    """
    plan = _plan(material)
    if isinstance(plan, Words):
        return {}
    found: dict[Expected, Spec] = {}
    for planned in plan.joints:
        style = Style(unit=unit_of(planned), language=material.language)
        for show, spec in charts_of(planned, style=style).items():
            found[Expected(planned.joint.id, show)] = {
                key: value for key, value in spec.items() if key != "title"
            }
    return found


def expected_lines(material: Material, joint: str) -> list[Words]:
    """Say what stands beside the charts: what would narrow the last band, or why there is none.

    Parameters
    ----------
    material : Material
    joint : str

    Returns
    -------
    list of Words
    """
    plan = _plan(material)
    if isinstance(plan, Words):
        return [plan]
    band = last_band(plan.joint(joint))
    if band is None:
        return []
    return [words("What would narrow it: {how}.", how=how) for how in narrowing(band)]


def _plan(material: Material) -> Plan | Words:
    try:
        return pinned(material.opened, material.state.overrules, material.state.suspects)[2]
    except ClampwrightError as error:
        return words(
            "There are no charts of what to expect: this version cannot plan the job file of the "
            "record again ({problem}).",
            problem=error.message,
        )


def by_joint(drawn: Mapping[Expected, str], joint: str) -> list[tuple[Words, str]]:
    """Return title and drawing of a joint's charts."""
    return [(key.title, svg) for key, svg in drawn.items() if key.joint == joint]

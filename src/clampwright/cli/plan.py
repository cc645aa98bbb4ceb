"""``clampwright plan``: order, wrench and setting for every stage."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of
from clampwright.locale import between

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clampwright.drawer.fit import Fitness
    from clampwright.report.clamp_charts import Show
    from clampwright.words import Words
    from clampwright.work.job import Joint
    from clampwright.work.plan import JointPlan, Plan, StagePlan


@click.command(
    epilog="Example: clampwright plan demo-workshop/jobs/launch-engine-head.toml "
    "--chart head.svg --show curve",
    short_help="Plan a job.",
)
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--drawer",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Drawer file; without it the nearest drawer.toml above the job.",
)
@click.option("--today", help="Day to plan for, as 2026-05-01; today if not given.")
@click.option("--why", is_flag=True, help="Say of every tool why it is taken or not.")
@click.option(
    "--chart",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE.svg",
    help="Write a chart of one joint as SVG.",
)
@click.option(
    "--show",
    type=click.Choice(["fan", "curve", "contributions"]),
    default="curve",
    show_default=True,
    help="Chart: clamp load over torque with its friction band; torque over angle with the "
    "stages; or what widens the band of the last stage.",
)
@click.option("--joint", "joint_id", metavar="ID", help="Joint to draw; the first if not given.")
@json_option
def command(
    job: Path,
    drawer: Path | None,
    *,
    today: str | None,
    chart: Path | None,
    show: Show,
    joint_id: str | None,
    why: bool,
    as_json: bool,
) -> None:
    """Plan JOB: order, passes, and for every stage the wrench and its setting.

    Exit status 1 when a stage has no usable wrench in the drawer.
    """
    from clampwright.bench.days import today as this_day
    from clampwright.bench.folder import load_plan
    from clampwright.cli.days import day
    from clampwright.work.plan_json import plan_json

    plan = load_plan(job, drawer, today=day(today) if today else this_day())
    drawn = _draw(plan, chart, show, joint_id) if chart is not None else ""
    if as_json:
        print_json(plan_json(plan))
    else:
        show_plan(plan, why=why)
        if drawn:
            click.echo(drawn)
    if any(stage.choices and stage.choice is None for one in plan.joints for stage in one.stages):
        raise SystemExit(FINDING)


def _draw(plan: Plan, chart: Path, show: Show, joint_id: str | None) -> str:
    from clampwright.cli.drawing import check_target, write_chart
    from clampwright.report.axes import Style
    from clampwright.report.clamp_charts import plan_chart, unit_of

    check_target(chart)
    planned = plan.joints[0] if joint_id is None else plan.joint(joint_id)
    return write_chart(chart, plan_chart(planned, show, style=Style(unit=unit_of(planned))))


def show_plan(plan: Plan, *, why: bool = False) -> None:
    """Print a plan for a person."""
    from clampwright.cli.screen import console
    from clampwright.words import words

    screen = console()
    screen.print(plan.job.title, style="bold", markup=False)
    screen.print(plan.job.machine, markup=False)
    if plan.job.invented:
        screen.print(text_of(words("Invented for demonstration: not for any real machine.")))
    for joint in plan.joints:
        _show_joint(joint, why=why)
    screen.print()
    screen.print(text_of(words("{count} pulls in all", count=plan.pulls)))
    screen.print(text_of(words("The manufacturer's information comes first wherever it differs.")))


def _show_joint(planned: JointPlan, *, why: bool) -> None:
    from rich.table import Table

    from clampwright.cli.screen import console
    from clampwright.cli.textmap import number_and_order, text_map
    from clampwright.words import words

    screen, joint = console(), planned.joint
    screen.print()
    screen.print(joint.title, style="bold", markup=False)
    for line in _joint_lines(joint):
        screen.print(text_of(line), markup=False)
    for order, stages in _orders(planned).items():
        screen.print(
            text_of(
                words(
                    "(fastener) and turn, stages {stages}:",
                    stages=", ".join(str(number) for number in stages),
                )
            ),
            markup=False,
        )
        for row in text_map(joint.layout, number_and_order(joint.layout, order)):
            screen.print("  " + row, markup=False, highlight=False)
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("", "Stage", "Pulls", "Take", "Set or pull to", "Clamp load, 5–95 %"):
        table.add_column(heading)
    for stage in planned.stages:
        table.add_row(*_row(stage))
    screen.print(table)
    _show_narrowing(planned)
    for stage in planned.stages:
        _show_reasons(stage, why=why)


def _joint_lines(joint: Joint) -> Iterator[Words]:
    """Say where the procedure is from, what is on the threads, and what to know before starting."""
    from clampwright.words import words
    from clampwright.work.job import NO_CLAMP_LOAD

    if joint.procedure.source:
        yield words("Procedure: {source}", source=str(joint.procedure.source))
    if joint.friction is not None:
        yield words(
            "Surface: {condition}, friction {low:g} to {high:g}",
            condition=joint.friction.title,
            low=joint.friction.low,
            high=joint.friction.high,
        )
    if without := NO_CLAMP_LOAD.get(joint.kind):
        yield without
    if joint.space:
        yield words("Note: {note}", note=joint.space)
    if joint.left_hand:
        yield words("Note: {note}", note=words("left-hand thread"))


def _show_narrowing(planned: JointPlan) -> None:
    """Say what would narrow the band of the last stage."""
    from clampwright.cli.screen import console
    from clampwright.joint.narrowing import narrowing
    from clampwright.report.clamp_charts import last_band
    from clampwright.words import words

    band = last_band(planned)
    if band is None:
        return
    screen = console()
    screen.print(text_of(words("What would narrow the clamp load after the last stage most:")))
    for sentence in narrowing(band):
        screen.print(f"  {text_of(sentence)}", markup=False, highlight=False)


def _orders(planned: JointPlan) -> dict[tuple[int, ...], list[int]]:
    """Return each different order with the stages that use it; single fasteners need none."""
    orders: dict[tuple[int, ...], list[int]] = {}
    for stage in planned.stages:
        if len(stage.order.fasteners) > 1 and stage.pulls > 1:
            orders.setdefault(stage.order.fasteners, []).append(stage.number)
    return orders


def _row(planned: StagePlan) -> list[str]:
    from clampwright.words import words
    from clampwright.work.describe import describe, tool_name

    choice = planned.choice
    none = words("none fits") if planned.choices else words("by hand")
    tool = tool_name(choice) if choice else text_of(none)
    return [
        str(planned.number),
        text_of(describe(planned.stage)),
        str(planned.pulls),
        tool,
        setting_text(choice),
        clamp_text(planned),
    ]


def setting_text(choice: Fitness | None) -> str:
    """Say what to set: the value first, then where it stands on the scale."""
    setting = choice.setting if choice else None
    if choice is None or setting is None:
        return ""
    value = choice.tool.scale(setting.scale_unit).text(setting.value)
    return f"{value}: {text_of(setting.words)}"


def clamp_text(planned: StagePlan) -> str:
    """Say what clamp load to expect after a stage, as its band."""
    from clampwright.words import words

    band = planned.clamp
    if band is None:
        return ""
    if band.p95 == 0:
        return text_of(words("loose"))
    return f"{between(band.p05 / 1000, band.p95 / 1000, '.1f')} kN"


def _show_reasons(planned: StagePlan, *, why: bool) -> None:
    from clampwright.cli.screen import console
    from clampwright.words import words
    from clampwright.work.describe import tool_name
    from clampwright.work.tool_effect import effect_words

    if not planned.choices or not (why or planned.choice is None):
        return
    screen = console()
    screen.print()
    screen.print(text_of(words("Why, for stage {number}:", number=planned.number)), style="bold")
    for choice in planned.choices:
        mark = "+" if choice.usable else "-"
        screen.print(f"  {mark} {tool_name(choice)}", markup=False)
        if choice.overruled:
            taken = words("taken by a person: {reason}", reason=choice.overruled)
            screen.print(f"      {text_of(taken)}", markup=False, highlight=False)
        if (effect := effect_words(planned, choice)) is not None:
            screen.print(f"      {text_of(effect)}", markup=False, highlight=False)
        for reason in choice.reasons:
            screen.print(f"      {text_of(reason)}", markup=False, highlight=False)

"""``clampwright drawer by-feel``: which fasteners need a wrench, and which do not."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import json_option, print_json, read_file, text_of

if TYPE_CHECKING:
    from clampwright.drawer.by_feel import Advice


@click.command(epilog="Example: clampwright drawer by-feel --harm 3 --soft-thread --diameter 8")
@click.argument("job", required=False, type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--harm",
    type=int,
    help="Harm level: 1 life or limb, 2 breakdown, 3 annoyance.",
)
@click.option("--stated", is_flag=True, help="The procedure gives a torque or an angle.")
@click.option("--to-yield", is_flag=True, help="It is pulled to yield, or by an angle.")
@click.option("--soft-thread", is_flag=True, help="Thread in aluminium, magnesium or plastic.")
@click.option("--soft-gasket", is_flag=True, help="A soft gasket or seal lies between.")
@click.option("--diameter", type=float, metavar="MM", help="Nominal diameter of the thread, mm.")
@json_option
def command(
    job: Path | None,
    *,
    harm: int | None,
    stated: bool,
    to_yield: bool,
    soft_thread: bool,
    soft_gasket: bool,
    diameter: float | None,
    as_json: bool,
) -> None:
    """Say whether a fastener needs a torque wrench, with reasons and the limits of the rule.

    With JOB, for every joint of it; with --harm, for what the options say; else the whole sort.
    """
    from clampwright.drawer.by_feel import advise
    from clampwright.words import words
    from clampwright.work.jobfile import load_job
    from clampwright.work.needs import feel_of

    found: list[tuple[str, Advice]] = []
    if job is not None:
        whole = load_job(read_file(str(job)), str(job))
        found = [(joint.title, feel_of(joint)) for joint in whole.joints]
    elif harm is not None:
        told = text_of(words("This fastener"))
        advice = advise(
            harm,
            torque_stated=stated,
            to_yield=to_yield,
            soft_thread=soft_thread,
            soft_gasket=soft_gasket,
            diameter=diameter,
        )
        found = [(told, advice)]
    if as_json:
        print_json(_json(found))
        return
    for title, one in found:
        click.echo(f"{click.style(title, bold=True)}: {text_of(one.words())}")
        for reason in one.reasons:
            click.echo(f"  {text_of(reason.say)}")
            click.echo(f"      [{reason.source}]")
    if not found:
        _sort()
    _limits()


def _sort() -> None:
    from clampwright.drawer.by_feel import harm_table
    from clampwright.words import words

    heads = {
        1: words("Life or limb: torque wrench, and a second quantity or a second look"),
        2: words("Breakdown: torque wrench"),
        3: words("Annoyance: by feel, or a small wrench where threads or gaskets are soft"),
    }
    for level, head in heads.items():
        click.echo(click.style(f"{level}  {text_of(head)}", bold=True))
        for one in harm_table():
            if one.level == level:
                click.echo(f"   {text_of(one.title)}: {text_of(one.why)}")


def _limits() -> None:
    from clampwright.drawer.by_feel import limits_of_the_rule
    from clampwright.words import words

    click.echo(text_of(words("Limits of the rule:")))
    for say, source in limits_of_the_rule():
        click.echo(f"  {text_of(say)}")
        click.echo(f"      [{source}]")


def _json(found: list[tuple[str, Advice]]) -> dict[str, object]:
    from clampwright.drawer.by_feel import harm_table, limits_of_the_rule

    return {
        "advice": [
            {
                "what": title,
                "control": one.control,
                "reasons": [
                    {"text": str(reason.say), "source": reason.source} for reason in one.reasons
                ],
            }
            for title, one in found
        ],
        "sort": [
            {"key": one.key, "harm_level": one.level, "title": str(one.title), "why": str(one.why)}
            for one in harm_table()
        ],
        "limits": [str(say) for say, _source in limits_of_the_rule()],
    }

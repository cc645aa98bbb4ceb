"""``clampwright nofigure``: the procedure gives no figure; stop, look, ask, write it down."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, text_of
from clampwright.errors import ClampwrightError

if TYPE_CHECKING:
    from clampwright.procedure.no_figure import GeneralRow
    from clampwright.work.figures import FigureQuestion

SHORT = 8
"""Last signs of an entry's id by which a person names a question."""


@click.command(
    epilog='Example: clampwright nofigure "bolt of the rudder arm" --workshop demo-workshop '
    "--thread M12 --strength 8.8 --looked plate=none",
    short_help="What to do when there is no figure.",
)
@click.argument("what", required=False)
@click.option(
    "--workshop",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path(),
    show_default="this folder",
    help="Workshop folder whose log takes the question.",
)
@click.option("--machine", default="", help="Which machine it is for.")
@click.option("--job", help="Id of the job it belongs to.")
@click.option("--thread", default="", help="Thread, such as M12.")
@click.option("--strength", default="", help="Strength class, such as 8.8.")
@click.option("--looked", multiple=True, help="PLACE=what was found there.")
@click.option("--general", is_flag=True, help="Show the general table too; it is no answer.")
@click.option("--open", "list_open", is_flag=True, help="List the questions, answered ones too.")
@click.option("--found", metavar="FIGURE", help="Answer a question: the figure with its unit.")
@click.option("--source", default="", help="With --found: where it stands, or who said it.")
@click.option("--question", default="", help="With --found: the question, by its last signs.")
@json_option
def command(
    what: str | None,
    workshop: Path,
    *,
    machine: str,
    job: str | None,
    thread: str,
    strength: str,
    looked: tuple[str, ...],
    general: bool,
    list_open: bool,
    found: str | None,
    source: str,
    question: str,
    as_json: bool,
) -> None:
    """Stop, because WHAT has no figure: say where to look, and put the question on the log.

    The answer is entered with its source. A general table by size and class is shown only when
    asked for, and never enters a job. Exit status 1 while a question is open.
    """
    from clampwright.bench.figures import answer_figure, ask_figure
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.work.figures import questions

    if sum((what is not None, list_open, found is not None)) != 1:
        raise click.UsageError("Name WHAT has no figure, or say --open or --found.")
    rows = _general(thread, strength) if general else ()  # told before anything is stored
    place = Workshop(workshop)
    with open_store(place, create=what is not None, write=not list_open) as store:
        if what is not None:
            ask_figure(
                store, what, machine=machine, thread=thread, strength=strength, job=job,
                looked=_looked(looked), general_shown=general,
            )  # fmt: skip
        elif found is not None:
            answer_figure(store, question, found, source)
        known = questions(store.entries())
    if as_json:
        print_json({"questions": [_data(one) for one in known], "general": _rows(rows)})
    elif what is not None:
        _stop(known[-1])
        _table(thread, strength, rows)
    else:
        for one in known:
            _show(one)
    raise SystemExit(FINDING if any(one.found is None for one in known) else DONE)


def _looked(given: tuple[str, ...]) -> dict[str, str]:
    from clampwright.words import words

    pairs = [text.partition("=") for text in given]
    for name, sign, _ in pairs:
        if not sign:
            raise ClampwrightError(
                words("{text!r}: write the place and what was found, as plate=none", text=name)
            )
    return {name: said for name, _, said in pairs}


def _general(thread: str, strength: str) -> tuple[GeneralRow, ...]:
    from clampwright.procedure.no_figure import general_table
    from clampwright.words import words

    if not thread or not strength:
        raise ClampwrightError(words("a general table needs --thread and --strength"))
    return general_table(thread, strength)


def _stop(one: FigureQuestion) -> None:
    from clampwright.procedure.no_figure import places
    from clampwright.words import words

    click.echo(click.style(text_of(words("STOP: there is no figure for this.")), bold=True))
    click.echo(text_of(words("Do not take one from memory, from a similar machine or by feel.")))
    click.echo(text_of(words("Where to look:")))
    looked = one.asked["looked"]
    for place in places():
        mark = f"[{looked[place.name]}]" if place.name in looked else "[ ]"
        click.echo(f"  {mark} {place.name}: {text_of(place.say)}")
        click.echo(f"      {text_of(words('Source: {source}', source=place.source))}")
    click.echo(
        text_of(
            words(
                "The question is on the log as {id}. When it is found: clampwright nofigure "
                '--question {id} --found "FIGURE" --source "TITLE, PAGE"',
                id=one.entry[-SHORT:],
            )
        )
    )


def _table(thread: str, strength: str, rows: tuple[GeneralRow, ...]) -> None:
    from clampwright.procedure.no_figure import GENERAL
    from clampwright.words import words

    if not rows:
        return
    title = words("GENERAL TABLE, {thread}, {strength}", thread=thread, strength=strength)
    click.echo()
    click.echo(click.style(text_of(title), bold=True))
    click.echo(text_of(GENERAL))
    for row in rows:
        click.echo(
            text_of(
                words(
                    "  {title} (friction {low:.2f} to {high:.2f}): {torque:.3g} N·m leaves "
                    "{least:.3g} to {most:.3g} kN, {small:.0f} to {large:.0f} % of proof load",
                    title=row.title,
                    low=row.friction[0],
                    high=row.friction[1],
                    torque=row.torque,
                    least=row.clamp[0] / 1000,
                    most=row.clamp[1] / 1000,
                    small=100 * row.share[0],
                    large=100 * row.share[1],
                )
            )
        )
    click.echo(text_of(words("No job takes a figure from this table.")))


def _show(one: FigureQuestion) -> None:
    from clampwright.words import words

    known = [one.asked[key] for key in ("what", "machine", "thread", "strength")]
    told = ", ".join(part for part in known if part)
    if one.found is None:
        click.echo(text_of(words("{id}  open: {what}", id=one.entry[-SHORT:], what=told)))
        return
    click.echo(
        text_of(
            words(
                "{id}  {what}: {figure} ({source})",
                id=one.entry[-SHORT:],
                what=told,
                figure=one.found["figure"],
                source=one.found["source"],
            )
        )
    )


def _data(one: FigureQuestion) -> dict[str, object]:
    return {
        "question": one.entry,
        "job": one.job,
        **one.asked,
        "found": dict(one.found) if one.found else None,
    }


def _rows(rows: tuple[GeneralRow, ...]) -> list[dict[str, object]]:
    from clampwright.procedure.no_figure import GENERAL

    return [
        {
            "general": text_of(GENERAL),
            "surface": row.condition,
            "friction": list(row.friction),
            "torque_nm": row.torque,
            "clamp_n": list(row.clamp),
            "share_of_proof_load": list(row.share),
            "source": row.source,
        }
        for row in rows
    ]

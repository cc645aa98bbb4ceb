"""``clampwright validate``: every published value computed again, beside the printed one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clampwright.validation.row import Row
    from clampwright.words import Words

SURE_DIGITS = 15
MOST_DECIMALS = 15


@click.command(
    epilog="Example: clampwright validate --about 'VDI 2230' --failed",
    short_help="Compute every published value again.",
)
@click.option("--about", metavar="WORD", help="Only rows with this word in name, topic or source.")
@click.option("--failed", is_flag=True, help="Only rows that do not agree, explained or not.")
@json_option
def command(about: str | None, *, failed: bool, as_json: bool) -> None:
    """Compute every published value again from its inputs and print both, row by row.

    Tolerance is half of the last printed digit unless the source rounds otherwise. A row that does
    not agree because the published figure itself is wrong says so. Exit status 1 when a row neither
    agrees nor is explained.
    """
    from clampwright.validation.report import count, row_json, validate

    rows = validate(about)
    counts = count(rows)
    shown = [row for row in rows if not (failed and row.ok)]
    if as_json:
        print_json(
            {
                "counts": {
                    "rows": counts.rows,
                    "ok": counts.ok,
                    "explained": counts.explained,
                    "failed": counts.red,
                },
                "rows": [row_json(row) for row in shown],
            }
        )
    else:
        _show(shown, heading(rows))
    if counts.red:
        raise SystemExit(FINDING)


def heading(rows: Sequence[Row]) -> Words:
    """Say how many rows there are and how they came out."""
    from clampwright.validation.report import count
    from clampwright.words import words

    counts = count(rows)
    return words(
        "{rows} published values computed again: {ok} agree, {explained} explained, {red} wrong",
        rows=counts.rows,
        ok=counts.ok,
        explained=counts.explained,
        red=counts.red,
    )


def _show(rows: Sequence[Row], said: Words) -> None:
    from clampwright.words import words

    click.echo(click.style(text_of(said), bold=True))
    topic = ""
    for row in rows:
        if row.topic != topic:
            topic = row.topic
            click.echo(click.style(f"\n{topic}", bold=True))
            headings = (words("computed"), words("published"), words("difference"),
                        words("tolerance"))  # fmt: skip
            click.echo(_line("", *(text_of(each) for each in headings)))
        click.echo(
            _line(
                f"{verdict(row):<10}{row.id}",
                digits(row.computed, row),
                f"{row.printed} {row.unit}".rstrip(),
                f"{row.difference:+.2g}",
                f"{row.tolerance:.2g}",
            )
        )
        click.echo(f"          {row.quantity}; {row.source}")
        if not row.ok and row.explained:
            click.echo(f"          {text_of(words('explained: {why}', why=row.explained))}")
        elif row.note:
            click.echo(f"          {text_of(words('note: {note}', note=row.note))}")


def verdict(row: Row) -> str:
    """Return the verdict of a row in one word."""
    from clampwright.words import words

    if row.ok:
        return text_of(words("ok"))
    return text_of(words("explained") if row.explained else words("WRONG"))


def digits(value: float, row: Row) -> str:
    """Return a computed figure with two digits more than the printed one has.

    Never more than 15 in all: those after them are not sure in floating point.
    """
    import math
    from decimal import Decimal

    printed = Decimal(row.printed)
    decimals = 2 - int(printed.as_tuple().exponent)
    if value and math.isfinite(value):
        decimals = min(decimals, SURE_DIGITS - 1 - math.floor(math.log10(abs(value))))
    if "e" in row.printed.lower() or not 0 <= decimals <= MOST_DECIMALS:
        return f"{value:.{min(SURE_DIGITS, max(3, len(printed.as_tuple().digits) + 2)) - 1}e}"
    return f"{value:.{decimals}f}"


def _line(name: str, computed: str, published: str, difference: str, tolerance: str) -> str:
    return f"{name:<46} {computed:>16} {published:>18} {difference:>11} {tolerance:>10}".rstrip()

"""``clampwright archive rejudge``: recorded pulls judged again by today's rules."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.archive_common import analysis_options, done, show

if TYPE_CHECKING:
    from clampwright.archive.running import Asked


@click.command(
    epilog="Example: clampwright archive rejudge chain --workers 2",
    short_help="Judge all recorded pulls by today's rules; list what changes.",
)
@click.option(
    "--tuning", help="TOML file with criteria and priors of your own, each with its source."
)
@click.option(
    "--changes",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write every pull whose verdict changed to this CSV file.",
)
@analysis_options
def command(*, tuning: str | None, changes: Path | None, **given: Any) -> None:
    """Judge every recorded pull again as this version of the program judges.

    Exit status 1 when a verdict is another than it was, a trace cannot be read, or a part was set
    aside.
    """
    from clampwright.cli.output import read_text

    asked: dict[str, Any] = {"tuning": None}
    if tuning is not None:
        from clampwright.trace.tuning import tuning_from_toml

        asked["tuning"] = read_text(tuning)
        tuning_from_toml(asked["tuning"].encode(), tuning)  # what is wrong in it is told first
    result = done("rejudge", given, asked)
    if changes is not None:
        _write(changes, given["archive"], asked)
    show(result, most=given["most"], as_json=given["as_json"])


def _write(file: Path, archive: Path, asked: Asked) -> None:
    from clampwright.archive.analyses import ANALYSES
    from clampwright.archive.layout import archive_at
    from clampwright.archive.rejudge import CHANGED, all_changed
    from clampwright.archive.running import parts_of

    parts = parts_of(archive_at(archive), ANALYSES["rejudge"], asked)
    with file.open("w", newline="", encoding="utf-8") as out:
        sheet = csv.DictWriter(out, ("workshop", *CHANGED))
        sheet.writeheader()
        sheet.writerows(all_changed(parts))

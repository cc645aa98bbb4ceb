"""``clampwright archive show``: what an archive holds, and what is missing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, text_of

if TYPE_CHECKING:
    from clampwright.archive.reading import Held


@click.command(
    epilog="Example: clampwright archive show chain",
    short_help="Show what an archive holds, and what is missing.",
)
@click.argument("archive", type=click.Path(file_okay=False, path_type=Path))
@json_option
def command(*, archive: Path, as_json: bool) -> None:
    """Show what the folder ARCHIVE holds of each workshop.

    Exit status 1 when a part is damaged, or places of a log before its last entry are missing. A
    month without entries may have been a quiet one.
    """
    from clampwright.archive.layout import archive_at
    from clampwright.archive.reading import held_of

    place = archive_at(archive)
    held = [held_of(place, workshop) for workshop in place.workshops()]
    if as_json:
        print_json({"archive": str(archive), "workshops": [_json(one) for one in held]})
    else:
        for one in held:
            _tell(one)
    bad = any(one.damaged or one.places_missing for one in held)
    raise SystemExit(FINDING if bad else DONE)


def _json(one: Held) -> dict[str, Any]:
    return {
        "workshop": one.workshop,
        "name": one.name,
        "entries": one.entries,
        "months": list(one.months),
        "months_between": list(one.months_between),
        "places_missing": one.places_missing,
        "traces": one.traces,
        "samples": one.samples,
        "bytes": one.bytes,
        "damaged": [{"file": file, "why": text_of(why)} for file, why in one.damaged],
    }


def _tell(one: Held) -> None:
    from clampwright.words import words

    first, last = (one.months[0], one.months[-1]) if one.months else ("–", "–")
    lines = [
        words(
            "{name} ({workshop}): {first} to {last}, {entries} entries, {traces} traces with "
            "{samples} samples, {size:.1f} MB",
            name=one.name,
            workshop=one.workshop,
            first=first,
            last=last,
            entries=one.entries,
            traces=one.traces,
            samples=one.samples,
            size=one.bytes / 1e6,
        )
    ]
    if one.places_missing:
        lines.append(
            words(
                "  {count} entries before its last one are missing: put the whole log in",
                count=one.places_missing,
            )
        )
    if one.months_between:
        lines.append(
            words("  nothing of: {months} (quiet, or missing)",
                  months=", ".join(one.months_between))
        )  # fmt: skip
    lines += [words("  damaged: {why}", why=why) for _file, why in one.damaged]
    for line in lines:
        click.echo(text_of(line))

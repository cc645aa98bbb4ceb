"""``clampwright practice lessons``: which lessons there are, and whether a file can be taken."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, read_file, text_of
from clampwright.cli.practice_common import book_in
from clampwright.cli.workshop_option import workshop_option


@click.command(epilog="Example: clampwright practice lessons my-lesson.toml")
@click.argument("file", required=False)
@workshop_option
@json_option
def command(*, file: str | None, workshop: Path, as_json: bool) -> None:
    """List the lessons; with FILE, check a lesson of your own and list its exercises.

    Lessons of the workshop lie in practice/lessons/*.toml. Exit status 1 when one of them cannot
    be taken.
    """
    from clampwright.errors import BadFile
    from clampwright.practice.lesson import read_lesson

    if file is None:
        found = book_in(workshop).lessons()
    else:
        key = "standard-input" if file == "-" else Path(file).stem
        found = {key: read_lesson(read_file(file), file, key=key)}
    if as_json:
        print_json({"lessons": [_json(key, one) for key, one in found.items()]})
    else:
        for key, one in found.items():
            _show(key, one, whole=file is not None)
    bad = any(isinstance(one, BadFile) for one in found.values())
    raise SystemExit(FINDING if bad else DONE)


def _json(key: str, one: object) -> dict[str, object]:
    from clampwright.practice.lesson import Lesson
    from clampwright.report.lesson_sheet import title_of

    if not isinstance(one, Lesson):
        return {"key": key, "error": str(one)}
    return {
        "key": key,
        "title": str(one.title),
        "exercises": [
            {"exercise": f"{key}/{n}", "kind": each.kind, "title": str(title_of(each))}
            for n, each in enumerate(one.exercises, 1)
        ],
    }


def _show(key: str, one: object, *, whole: bool) -> None:
    from clampwright.practice.lesson import Lesson
    from clampwright.report.lesson_sheet import title_of
    from clampwright.words import words

    if not isinstance(one, Lesson):
        click.echo(text_of(words("{key}: cannot be taken: {problem}", key=key, problem=str(one))))
        return
    count = words(
        "{key}: {title}, {count} exercises", key=key, title=one.title, count=len(one.exercises)
    )
    click.echo(text_of(count))
    if whole:
        for number, each in enumerate(one.exercises, 1):
            click.echo(f"  {key}/{number}  {text_of(title_of(each))}")

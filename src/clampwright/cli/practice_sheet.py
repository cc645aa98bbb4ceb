"""``clampwright practice sheet``: a lesson on paper."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.practice_common import book_in, now
from clampwright.cli.workshop_option import workshop_option


@click.command(epilog="Example: clampwright practice sheet first --pdf first.pdf")
@click.argument("lesson")
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.pdf",
              required=True, help="Where the sheet goes.")  # fmt: skip
@workshop_option
def command(*, lesson: str, pdf: Path, workshop: Path) -> None:
    """Set LESSON as a sheet to hand out: exercises with room for answers, answers on pages apart.

    LESSON is its key (see: clampwright practice lessons) or a file that ends in .toml.
    """
    from clampwright.cli.drawing import check_paper, write_paper
    from clampwright.cli.output import read_file
    from clampwright.practice.lesson import read_lesson
    from clampwright.report.lesson_sheet import lesson_pdf

    check_paper(pdf)
    if lesson.endswith(".toml"):
        found = read_lesson(read_file(lesson), lesson, key=Path(lesson).stem)
    else:
        found = book_in(workshop).lesson(lesson)
    click.echo(write_paper(pdf, lesson_pdf(found, time=now().isoformat(timespec="seconds"))))

"""``clampwright extensions``: what installed packages bring, and what was left out."""

from __future__ import annotations

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of


@click.command(
    epilog="Example: clampwright extensions",
    short_help="List what installed packages bring.",
)
@json_option
def command(*, as_json: bool) -> None:
    """List what installed packages bring: languages, kinds of lines, friction, report sections.

    Exit status 1 when something was left out because it is wrong.
    """
    import logging

    from clampwright.bench.extending import GROUP_WORDS, extensions
    from clampwright.words import words

    logging.getLogger("clampwright.extensions").setLevel(logging.ERROR)  # told once, below
    found = extensions()
    if as_json:
        print_json(found.as_json())
    else:
        if not found.brought and not found.left_out:
            click.echo(text_of(words("No installed package brings anything to Clampwright.")))
        for one in found.brought:
            told = words(
                "{what} {name}: package {package} {version}",
                what=GROUP_WORDS[one.group],
                name=one.name,
                package=one.package,
                version=one.version,
            )
            click.echo(text_of(told))
        for wrong in found.left_out:
            click.echo(text_of(wrong.says))
    if found.left_out:
        raise SystemExit(FINDING)

"""The fastener a question is about, as options of a command."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import Command

if TYPE_CHECKING:
    from clampwright.procedure.check_physics import Reckoning


def fastener_options(command: Command) -> Command:
    """Add thread, strength, head, hole and friction to a command.

    Parameters
    ----------
    command : callable

    Returns
    -------
    callable
    """
    for option in reversed(_OPTIONS):
        command = option(command)
    return command


_OPTIONS = (
    click.option("--thread", metavar="THREAD", help="Thread, such as M10: informs the questions."),
    click.option("--strength", metavar="CLASS", help="Strength class of the fastener."),
    click.option("--head", metavar="STANDARD", help='Head or nut, such as "ISO 4014/4017".'),
    click.option(
        "--hole",
        type=click.Choice(["fine", "medium", "coarse"]),
        default="medium",
        show_default=True,
        help="Clearance hole.",
    ),
    click.option("--friction", metavar="NAME", help="Surface condition, such as oiled."),
)


def reckoning_from(given: Mapping[str, Any], lubrication: Sequence[str]) -> Reckoning | None:
    """Return what torques are reckoned with, or None where size and strength were not given.

    Parameters
    ----------
    given : mapping
        The options.
    lubrication : sequence of str
        What the text says.

    Returns
    -------
    Reckoning or None
    """
    if not any(given[name] for name in ("thread", "strength", "head", "friction")):
        return None
    # Here, for what they load takes longer than reading a line.
    from clampwright.work.fastener import Named, fastening_of
    from clampwright.work.settling import reckoning_of

    named = Named(**{name: given[name] for name in Named.names()})
    return reckoning_of(fastening_of(named), named.condition(), lubrication)

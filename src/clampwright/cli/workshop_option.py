"""The option that names the workshop folder, the same for every command that needs one."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

Command = TypeVar("Command", bound=Callable[..., Any])


def workshop_option(command: Command) -> Command:
    """Add ``--workshop`` to a command."""
    return click.option(
        "--workshop",
        type=click.Path(file_okay=False, path_type=Path),
        default=Path(),
        show_default="this folder",
        help="Workshop folder.",
    )(command)

"""Commands: thin, with lazy imports, and ``--json`` everywhere.

A command is imported when it is called, so that ``clampwright --version`` stays as quick as the
command-line library itself.
"""

from __future__ import annotations

import contextlib
import gettext
import importlib
import io
import os
import sys
from collections.abc import Mapping
from typing import Any

import click

from clampwright import __version__
from clampwright.cli.helped import in_the_persons_language
from clampwright.errors import ClampwrightError
from clampwright.locale import FOLDER, language, say
from clampwright.shown import shown_on_terminal

COMMANDS = {
    "read": "Read a written procedure and say what was understood.",
    "shelf": "Keep procedures for reuse, each with its source and versions.",
    "check": "Check a job's procedures against physics.",
    "plan": "Plan a job: order, wrench and setting for every stage.",
    "apart": "Take a job apart, in reverse order, with the breakaway of each fastener.",
    "nofigure": "When the procedure gives no figure: stop, where to look, the question kept.",
    "prepare": "Go through a job's preparation list before the first pull.",
    "tighten": "Tighten a job, fastener by fastener.",
    "happened": "Note what went wrong at a job, and see what is open.",
    "judge": "Judge a recorded pull (a trace).",
    "feed": "Feed lines of a device into a live pull.",
    "device": "Look after the device on a serial line.",
    "read-again": "Compare what a second person reads of a pull.",
    "papers": "Attach photographs and PDFs to a job.",
    "record": "Write the record of a job.",
    "verify": "Verify a record, offline.",
    "friction": "Fit friction to a torque-tension test, or list conditions.",
    "drawer": "Look after the wrenches: what lies in the drawer, and how far to trust it.",
    "look-back": "Find the joints a tool found off may have spoilt.",
    "passes": "Compare orders and passes over fasteners that influence each other.",
    "practice": "Train the feel, estimate clamp loads, find faults, see what would happen if.",
    "formula": "Look up and compute one published relation.",
    "validate": "Compute every published value again and compare.",
    "store": "Back up, restore, move and check a workshop's log.",
    "key": "Look after a workshop's signing key.",
    "head": "Sign the log's head, to be kept outside it.",
    "stamp": "Have a head time-stamped by an authority outside (RFC 3161).",
    "hand": "Hand a job, a procedure or a tool to another workshop, or take one in.",
    "witness": "Countersign heads of other logs, or have your own signed.",
    "history": "The joints of a machine over the years.",
    "find": "Find pulls of the past.",
    "after": "Follow-ups: tighten again, look again.",
    "audit": "Try the torque of a tightened fastener.",
    "second-look": "Look again at a joint life or limb depends on.",
    "people": "Who works here, and who may do what.",
    "labels": "Make labels for tools, machines and joints.",
    "entries": "Entries of devices without network: take them in, settle them.",
    "archive": "Analyse the logs and traces of many workshops together.",
    "examine": "See whether a workshop is in good order.",
    "tell": "Let another program be told what happens.",
    "extensions": "List what installed packages bring.",
    "serve": "Serve the pages on this machine.",
    "trust": "Show, save or renew the authority phones trust.",
    "demo": "Show the main job in an invented workshop.",
}
"""Every command with its line of help; the module of the same name holds its function."""


class LazyGroup(click.Group):
    """A group whose commands are imported when they are called.

    Parameters
    ----------
    lines : mapping of str to str
        Every command with its line of help, in the order in which the work goes.
    beginning : str
        What the names of their modules begin with.
    **given
        As for `click.Group`.
    """

    def __init__(self, *, lines: Mapping[str, str], beginning: str = "", **given: Any) -> None:
        super().__init__(**given)
        self.lines, self.beginning = lines, beginning

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click passes it by this name
        """Return the names in the order in which the work goes."""
        return list(self.lines)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002 - click passes it by this name
        """Import and return a command."""
        if cmd_name not in self.lines:
            return None
        name = self.beginning + cmd_name.replace("-", "_")
        module = importlib.import_module(f"clampwright.cli.{name}")
        command: click.Command = module.command
        return in_the_persons_language(command)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002 - click passes it by this name
        """List the commands without importing them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, say(line)) for name, line in self.lines.items()])


@click.group(
    cls=LazyGroup, lines=COMMANDS, context_settings={"help_option_names": ["-h", "--help"]}
)
@click.version_option(__version__, message="clampwright %(version)s")
@click.option(
    "--as",
    "who",
    envvar="CLAMPWRIGHT_AS",
    metavar="NAME",
    help="Who does this, where people are set up; stands in every entry made.",
)
@click.pass_context
def group(context: click.Context, *, who: str | None) -> None:
    """From a written tightening procedure to the clamp load its maker intended.

    The manufacturer's information always comes first. Exit status: 0 done, 1 a finding
    (ambiguous, short, changed record), 2 the input cannot be taken as it is.
    """
    if who:
        from clampwright.bench.acting import acting

        context.with_resource(acting(who))


def _let_click_speak() -> None:
    """Have `click` find its own few sentences, such as of a missing option, in click.po."""
    gettext.bindtextdomain("click", FOLDER)
    gettext.textdomain("click")
    os.environ["LANGUAGE"] = language()  # what `gettext` heeds before all others


def main() -> None:
    """Run the command line; errors meant for people are one sentence, never a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="replace")  # a terminal that cannot show · or ° shows ?
            _show_only(stream)
    try:
        _let_click_speak()
        in_the_persons_language(group).main(prog_name="clampwright", standalone_mode=True)
    except ClampwrightError as error:
        from clampwright.cli.output import show_error

        sys.exit(show_error(error))
    except OSError as error:
        sys.exit(_failed(error))


def _show_only(stream: io.TextIOWrapper) -> None:
    """Let text through to be seen, and nothing that steers a terminal but bold letters."""
    write = stream.write
    stream.write = lambda text: write(shown_on_terminal(text))  # type: ignore[method-assign] # the stream stays the one that click and rich hold


def _failed(error: OSError) -> int:
    """Tell what the system refused; nothing can be told where the output itself is gone."""
    if isinstance(error, BrokenPipeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 2
    where = f"{error.filename}: " if error.filename else ""
    with contextlib.suppress(OSError):
        click.echo(f"{where}{error.strerror or error}", err=True)
    return 2

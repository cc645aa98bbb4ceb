"""Write the parts of the reference that the program itself knows.

``docs/reference/commands.md`` from the commands, the JSON Schemas of the files that people write
from the models that read them, those of other files from ``file_schemas.py``, and ``openapi.json``
from the server: kept, so that a change of the API shows in a review. Run it after changing a
command, a model or an address; with ``--check`` nothing is written and the exit status says whether
all are up to date. A change that breaks programs is not written into ``openapi.json`` unless
``--breaking`` is said.
"""

from __future__ import annotations

import importlib
import inspect
import json
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
from api_change import breaks
from file_schemas import WRITTEN
from pydantic import BaseModel

from clampwright.bench.device_file import Device
from clampwright.bench.outside import Outside
from clampwright.cli import COMMANDS, group
from clampwright.drawer.files import DrawerFile
from clampwright.practice.lesson import LessonFile
from clampwright.work.friction_file import FrictionFile
from clampwright.work.jobfile import JobFile
from clampwright.work.telling import Message

REFERENCE = Path(__file__).parents[1] / "docs" / "reference"

INTRODUCTION = """\
# Commands

<!-- Written by tools/command_reference.py from the commands themselves; do not edit. -->

Every command has `--help`. What the exit status means stands in [](exit-status.md), which
environment variables are heeded in [](environment.md). `clampwright` without a command lists them
all; `clampwright --version` shows the version.
"""

BREAKING = """\
The API would break programs that use it. Keep the old way beside the new one; or, if it must go,
name it in the CHANGELOG and run this again with --breaking."""

SCHEMAS: dict[str, tuple[type[BaseModel], str, str]] = {
    "job-file.schema.json": (JobFile, "Clampwright job file", "job-file.md"),
    "drawer-file.schema.json": (DrawerFile, "Clampwright drawer file", "drawer-file.md"),
    "lesson-file.schema.json": (LessonFile, "Clampwright lesson file", "lesson-file.md"),
    "device-file.schema.json": (Device, "Clampwright device file", "schemas.md"),
    "friction-file.schema.json": (FrictionFile, "Clampwright friction file", "schemas.md"),
    "outside-file.schema.json": (
        Outside,
        "Clampwright file of who may be asked",
        "outside-file.md",
    ),
    "message.schema.json": (Message, "Clampwright message", "message.md"),
}


def commands_page() -> str:
    """Return the page of all commands."""
    above = click.Context(group, info_name="clampwright", **group.context_settings)
    sections = (_section(_command(name), name, above, "##") for name in COMMANDS)
    return "\n".join([INTRODUCTION, *sections])


def _command(name: str) -> click.Command:
    command: click.Command = importlib.import_module(
        f"clampwright.cli.{name.replace('-', '_')}"
    ).command
    return command


def _section(command: click.Command, name: str, above: click.Context, rank: str) -> str:
    context = click.Context(command, info_name=name, parent=above, **command.context_settings)
    usage = " ".join([context.command_path, *command.collect_usage_pieces(context)])
    lines = [f"{rank} {context.command_path}", "", "```text", usage, "```", ""]
    lines += [inspect.cleandoc(command.help or "").replace("\b\n", ""), ""]
    lines += ["| option | meaning |", "| --- | --- |", *_options(command, context), ""]
    if command.epilog:
        lines += ["Example:", "", "```text", command.epilog.removeprefix("Example: "), "```", ""]
    if isinstance(command, click.Group):
        for inner in command.list_commands(context):
            found = command.get_command(context, inner)
            if found is not None:
                lines.append(_section(found, inner, context, f"{rank}#"))
    return "\n".join(lines)


def _options(command: click.Command, context: click.Context) -> Iterator[str]:
    for parameter in command.get_params(context):
        record = parameter.get_help_record(context)
        if record is not None and isinstance(parameter, click.Option):
            names, meaning = (part.replace("|", "\\|") for part in record)
            yield f"| `{names}` | {' '.join(meaning.split())} |"


def schema(name: str) -> str:
    """Return the JSON Schema of one sort of file."""
    if name in SCHEMAS:
        model, title, page = SCHEMAS[name]
        made, of = _made_from(model), "Made from the model that reads the file."
    else:
        written, title, page = WRITTEN[name]
        made, of = dict(written), "Written by hand, and held against real files by tests."
    made["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    made["title"] = title
    made["description"] = f"{of} Some rules hold between keys; {page} beside this file names them."
    return json.dumps(made, indent=2, ensure_ascii=False, sort_keys=True) + "\n"


def _made_from(model: type[BaseModel]) -> dict[str, Any]:
    made: dict[str, Any] = model.model_json_schema()
    return made if model is Message else _plain(made)  # null says something in JSON, not in TOML


def openapi() -> str:
    """Return the description of the server's API (OpenAPI), as the server itself gives it."""
    from clampwright.web.app import create_app  # noqa: PLC0415 - heavy, and only this part needs it

    with tempfile.TemporaryDirectory() as folder:
        described = create_app(Path(folder), hosts=["127.0.0.1:8123"]).openapi()
    return json.dumps(described, indent=1, ensure_ascii=False, sort_keys=True) + "\n"


def _plain(node: Any) -> Any:
    """Leave out what says nothing in a TOML file: null, and titles made from names."""
    if isinstance(node, list):
        return [_plain(one) for one in node]
    if not isinstance(node, dict):
        return node
    kept = {key: _plain(value) for key, value in node.items() if not _idle(key, value)}
    choices = [one for one in kept.get("anyOf", ()) if one != {"type": "null"}]
    if len(choices) == 1:
        del kept["anyOf"]
        kept.update(choices[0])
    elif choices:
        kept["anyOf"] = choices
    return kept


def _idle(key: str, value: object) -> bool:
    return (key == "title" and isinstance(value, str)) or (key == "default" and value is None)


def made() -> dict[str, str]:
    """Return every file that is made here, by its name in the reference's folder."""
    return {
        "commands.md": commands_page(),
        "openapi.json": openapi(),
        **{name: schema(name) for name in (*SCHEMAS, *WRITTEN)},
    }


def main() -> int:
    """Write the files, or check them."""
    old, refused = 0, False
    for name, text in made().items():
        path = REFERENCE / name
        if path.exists() and path.read_text(encoding="utf-8") == text:
            continue
        old += 1
        if name == "openapi.json" and path.exists() and "--breaking" not in sys.argv[1:]:
            broken = breaks(json.loads(path.read_text(encoding="utf-8")), json.loads(text))
            if broken:
                print("\n".join([BREAKING, *(f"- {one}" for one in broken)]))
                refused = True
                continue
        if "--check" in sys.argv[1:]:
            print(f"{name} is out of date; run: python tools/command_reference.py")
        else:
            path.write_text(text, encoding="utf-8")
            print(f"docs/reference/{name} written")
    return int(refused or (old > 0 and "--check" in sys.argv[1:]))


if __name__ == "__main__":
    sys.exit(main())

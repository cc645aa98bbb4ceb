"""Every example of the manual is run: Python as doctests, commands in a fresh demo workshop."""

from __future__ import annotations

import doctest
import json
import os
import pty
import re
import select
import subprocess
import time
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

import pytest

DOCS = Path(__file__).parents[2] / "docs"
MADE_BY_OTHERS = (
    "design.md", "reference/formulas.md", "reference/what-can-happen.md", "validation/",
)  # fmt: skip
"""Pages that are not the manual's own text; they have tests of their own."""

FLAGS = doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE
FENCE = re.compile(r"^(?P<indent> *)(?P<fence>`{3,})(?P<info>[^`]*)$")
ASKED = re.compile(r"^(.* or \? for help:) (\S.*)$", re.MULTILINE)
"""A question of the program with what the reader is to type after it."""

ESCAPE = re.compile(r"\x1b\[[0-9;]*[a-zA-Z]")
CHANGES_IT = re.compile(r"\b(src|tools)/")
"""A command that works on the source of the program."""

SECONDS = 120.0
"""After which a command counts as hanging, on a machine however busy."""

AtTheBench: TypeAlias = Callable[[bool], dict[str, str]]


@dataclass(frozen=True, slots=True)
class Block:
    """One fenced block of a page."""

    page: str
    line: int
    language: str
    text: str

    def __str__(self) -> str:
        return f"docs/{self.page}, line {self.line}"


@dataclass(frozen=True, slots=True)
class Typed:
    """One command of a console block with what the page says it prints."""

    block: Block
    command: str
    wanted: str


def pages() -> list[str]:
    names = (path.relative_to(DOCS).as_posix() for path in DOCS.rglob("*.md"))
    return sorted(name for name in names if not name.startswith(MADE_BY_OTHERS))


def blocks(page: str) -> list[Block]:
    """All fenced blocks of a page that are no Sphinx directives."""
    found: list[Block] = []
    fence, start, info, lines = "", 0, "", list[str]()
    for number, line in enumerate((DOCS / page).read_text(encoding="utf-8").splitlines(), 1):
        mark = FENCE.match(line)
        if not fence and mark:
            fence, start, info, lines = mark["fence"], number, mark["info"].strip(), []
        elif fence and mark and mark["fence"] == fence and not mark["info"]:
            if not info.startswith("{"):
                found.append(Block(page, start, info, "".join(f"{one}\n" for one in lines)))
            fence = ""
        elif fence:
            lines.append(line)
    assert not fence, f"docs/{page}: the block of line {start} is not closed"
    return found


def commands(block: Block) -> list[Typed]:
    """The commands of a console block: ``$ `` begins one, ``> `` goes on with it."""
    found: list[Typed] = []
    for line in block.text.splitlines():
        if line.startswith("$ "):
            found.append(Typed(block, line[2:], ""))
            continue
        assert found, f"{block}: a console block begins with $"
        last = found[-1]
        if line.startswith("> ") and not last.wanted:
            found[-1] = Typed(block, f"{last.command}\n{line[2:]}", "")
        else:
            found[-1] = Typed(block, last.command, f"{last.wanted}{line.rstrip()}\n")
    return found


PAGES = pages()
ALL = [block for page in PAGES for block in blocks(page)]


def with_language(*languages: str) -> list[str]:
    return [page for page in PAGES if any(b.language in languages for b in blocks(page))]


def test_every_block_is_of_a_kind_that_is_tried() -> None:
    tried = {"python", "console", "toml", "json", "text", "sh"}
    strange = [f"{block}: {block.language!r}" for block in ALL if block.language not in tried]
    assert strange == []


def test_only_make_is_shown_without_being_run() -> None:
    lines = [line for block in ALL if block.language == "sh" for line in block.text.splitlines()]
    assert [line for line in lines if not line.startswith("make ")] == []


@pytest.mark.parametrize("page", with_language("python"))
def test_python_of_a_page(page: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(DOCS.parent)
    monkeypatch.setattr(os, "environ", dict(os.environ))  # what a page sets there ends with it
    said: list[str] = []
    names: dict[str, object] = {}
    runner = doctest.DocTestRunner(optionflags=FLAGS, verbose=False)
    parser = doctest.DocTestParser()
    for block in blocks(page):
        if block.language == "python":
            test = parser.get_doctest(block.text, names, str(block), f"docs/{page}", block.line)
            assert test.examples, f"{block}: no >>> in a block of Python"
            runner.run(test, clear_globs=False, out=said.append)
            names.update(test.globs)
    assert said == [], "".join(said)


@pytest.mark.parametrize("page", with_language("toml", "json"))
def test_data_of_a_page_can_be_read(page: str) -> None:
    for block in blocks(page):
        if block.language == "toml":
            tomllib.loads(block.text)
        elif block.language == "json":
            json.loads(block.text)


@pytest.mark.parametrize("page", with_language("console"))
def test_commands_of_a_page(
    page: str, bench: Path, at_the_bench: AtTheBench, already_run: dict[str, str]
) -> None:
    """Commands are forked from a loaded program, but where a page changes the program itself."""
    console = [block for block in blocks(page) if block.language == "console"]
    every = [typed for block in console for typed in commands(block)]
    environment = at_the_bench(any(CHANGES_IT.search(typed.command) for typed in every))
    status = 0
    for typed in every:
        if typed.command in already_run:
            said, status = already_run[typed.command], 0
        else:
            said, status = run(typed, status, bench, environment)
        assert matches(typed.wanted, said), (
            f"{typed.block}\n$ {typed.command}\n--- the page:\n{typed.wanted}--- now:\n{said}"
        )


def matches(wanted: str, said: str) -> bool:
    """Compare as doctest does: ``...`` stands for anything."""
    tidy = "".join(f"{line.rstrip()}\n" for line in said.splitlines())
    return doctest.OutputChecker().check_output(wanted, tidy, doctest.ELLIPSIS)


def run(typed: Typed, status: int, folder: Path, environment: dict[str, str]) -> tuple[str, int]:
    """Run a command in the shell, after one that ended with this status."""
    shell = ["bash", "-c", f"(exit {status})\n{typed.command}"]
    answers = [found[2] for found in ASKED.finditer(typed.wanted)]
    if answers:
        return talk(shell, answers, folder, environment)
    done = subprocess.run(
        shell,
        cwd=folder,
        env=environment,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        check=False,
        timeout=SECONDS,
    )
    return done.stdout, done.returncode


def talk(
    shell: list[str], answers: list[str], folder: Path, environment: dict[str, str]
) -> tuple[str, int]:
    """Run a command at a terminal, and type an answer whenever it asks."""
    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        shell, cwd=folder, env=environment, stdin=theirs, stdout=theirs, stderr=theirs
    )
    os.close(theirs)
    said, answered, rest, end = b"", 0, list(answers), time.monotonic() + SECONDS
    while time.monotonic() < end:
        if select.select([ours], [], [], 0.1)[0]:
            try:
                said += os.read(ours, 65536)
            except OSError:  # how Linux tells that the other end has closed
                break
        # What was typed is echoed, so that a question still unanswered is the last thing said.
        if rest and len(said) > answered and said.endswith(b"or ? for help: "):
            answered = len(said)
            os.write(ours, f"{rest.pop(0)}\n".encode())
    else:
        process.kill()
        pytest.fail(f"still waiting after {SECONDS:g} s: {said[-400:].decode('utf-8', 'replace')}")
    os.close(ours)
    text = ESCAPE.sub("", said.decode("utf-8")).replace("\r\n", "\n")
    return text, process.wait(SECONDS)

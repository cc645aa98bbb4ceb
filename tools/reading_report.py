"""Score the reader on texts with known meanings and write docs/validation/reading.md.

``python tools/reading_report.py``; with ``--check`` nothing is written and the exit status says
whether the page is up to date. The texts and the scorer stand in tests/procedure.
"""

from __future__ import annotations

import csv
import importlib.util
import sys
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from pathlib import Path
from types import ModuleType
from typing import Any

ROOT = Path(__file__).parents[1]
CASES = ROOT / "tests" / "procedure"
PAGE = ROOT / "docs" / "validation" / "reading.md"
SETS = {
    "corpus.jsonl": "shown",
    "fresh_cases.jsonl": "fresh",
    "own_cases.jsonl": "own",
    "kept_cases.jsonl": "kept",
    "later_cases.jsonl": "later",
}
HEAD = """# How well procedures are read

<!-- Written by tools/reading_report.py; do not edit. -->

Every text below is invented, in the wording of service literature, with the meaning a careful
technician would take from it. A text is *whole* when status, every stage (kind, value, unit,
limits, fasteners), warnings, surface, reuse and its limit, and the cause of a refusal are all
right. *Silent* counts the error that matters most: one reading given where it is wrong, or where
the text had to be asked about. *Extra* counts warnings that the meaning does not have.

**The sets that were used to mend the reader say nothing about new texts.** What they hold is that
nothing reached gets lost. How new texts fare is told by [first trials](#first-trials) only.
"""
ABOUT = {
    "shown": "99 cases, mostly English, whose meanings were given from outside.",
    "fresh": "Written in rounds in eight languages, meanings before the reader was tried.",
    "own": "Earlier texts of the same kind.",
    "kept": "The reader's own answers, read through one by one and then kept.",
    "later": "The texts of the last rounds of first trials, kept when they were read as meant.",
}
TRIALS = """
## First trials

Texts worded in one go, each with its meaning written before the reader was tried on it; then the
first run, before anything was mended. The same gap often stands in several languages at once, so
it counts several times. What was misread was mended by rules and rows of words, never by the text.

"""
UNHEARD = """
What can be misread without a sign is above all a word that stands in no table. So the finished
reading is looked at once more: an unknown word beside a turn, between two torques on the same
fasteners, ahead of the first turn, or in a step of which nothing was understood is asked about,
and so are a time or a distance without a purpose, a torque after a turn, and a procedure that ends
waiting or slack. To measure it, each known word of 600 of the texts was replaced by one that
nobody knows: of 2397 such texts 239 changed their figures silently before there were such rules,
and 54 with them (`make soak` repeats this); of the texts of all sets none is asked without need.
"""
FUZZ = """
## Changed and mixed texts

Texts of all sets cut, doubled, shuffled, badly scanned, renumbered, spliced with hostile pieces,
and words of all languages in any order. Each got an answer; a number is lost when it stands in no
piece of the text that is used, asked about, recognised as something else, or reported.
`make soak` repeats this.

"""


def scorer() -> ModuleType:
    """Return the scorer of the tests."""
    spec = importlib.util.spec_from_file_location("procedure_scoring", CASES / "scoring.py")
    if spec is None or spec.loader is None:
        raise FileNotFoundError(CASES / "scoring.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Return a table in Markdown."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(map(str, line)) + " |" for line in lines) + "\n"


def _row(name: str, scores: Sequence[Any]) -> list[object]:
    return [
        name,
        len(scores),
        sum(one.whole for one in scores),
        sum(one.status_right for one in scores),
        sum(one.silent for one in scores),
        sum(one.extra_warnings for one in scores),
    ]


def _by(key: Sequence[str], scores: Sequence[Any]) -> list[list[object]]:
    groups: dict[str, list[Any]] = defaultdict(list)
    for name, score in zip(key, scores, strict=True):
        groups[name].append(score)
    rows = [_row(name, groups[name]) for name in sorted(groups)]
    return [*rows, _row("**all**", scores)]


def page() -> str:
    """Return the page."""
    scoring = scorer()
    told, codes = HEAD, Counter[str]()
    columns = ("", "texts", "whole", "status right", "silent", "extra")
    for file, name in SETS.items():
        cases = scoring.cases(file)
        scores = [scoring.score(case) for case in cases]
        codes.update(code for case in cases for code in case["expect"]["warnings"])
        codes.update(case["expect"]["error"]["code"] for case in cases if "error" in case["expect"])
        told += f"\n## The {name} texts\n\n{ABOUT[name]}\n\n"
        told += table(columns, _by([one.category for one in scores], scores))
        if name != "shown":
            languages = [case["locale"].partition("-")[0] for case in cases]
            told += "\n" + table(columns, _by(languages, scores))
    told += TRIALS + _first_trials() + UNHEARD
    told += "\n## What is tried\n\nTexts of all sets with each warning or cause of refusal.\n\n"
    told += table(("code", "texts"), [(f"`{code}`", codes[code]) for code in sorted(codes)])
    return told + FUZZ + _fuzz()


def _first_trials() -> str:
    rows = _read("first_trials.csv")
    return table(
        ("round", "texts", "whole", "status right", "silent", "about"),
        [
            [
                row["round"],
                row["cases"],
                _share(row["whole"], row["cases"]),
                _share(row["statuses"], row["cases"]),
                row["silent"],
                row["remark"],
            ]
            for row in rows
        ],
    )


def _share(part: str, whole: str) -> str:
    return f"{part} ({100 * int(part) / int(whole):.1f} %)"


def _fuzz() -> str:
    rows = _read("fuzz_runs.csv")
    return table([name.replace("_", " ") for name in rows[0]], [list(row.values()) for row in rows])


def _read(name: str) -> list[dict[str, str]]:
    with (CASES / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def main(arguments: Sequence[str]) -> int:
    """Write the page, or tell whether it is up to date."""
    made = page()
    if "--check" in arguments:
        return int(not PAGE.is_file() or PAGE.read_text(encoding="utf-8") != made)
    PAGE.write_text(made, encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

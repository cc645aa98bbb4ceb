"""Count what the rules answer and what is seen for each true pattern, on simulated pulls.

Writes ``answers.csv`` and ``evidence.csv`` beside the code of the trace room. Run it after changing
a rule or a criterion; it draws from a narrower part of every range than the figures in
docs/validation are measured on.
"""

from __future__ import annotations

import csv
import sys
from collections import Counter, defaultdict
from pathlib import Path

import numpy as np

from clampwright.trace.drawn import drawn
from clampwright.trace.features import features_of
from clampwright.trace.likelihood import EVIDENCE, evidence_of
from clampwright.trace.patterns import PATTERNS, found
from clampwright.trace.seen import seen

ROOM = Path(__file__).parents[1] / "src" / "clampwright" / "trace"
FIRST, COUNT, WIDTH = 100_000, 60, 0.8
LEAST_SPREAD = 0.08


def main(count: int = COUNT) -> None:
    """Draw, count and write."""
    answers: Counter[tuple[str, str]] = Counter()
    values: defaultdict[tuple[str, str], list[float]] = defaultdict(list)
    for seed in range(FIRST, FIRST + count):
        for pattern in PATTERNS:
            case = drawn(seed, pattern, WIDTH)
            it = seen(features_of(case.trace, case.given), case.given, case.trace.sample_rate)
            fits = found(it)
            answers[pattern, fits[0][0] if fits else "normal"] += 1
            for name, value in evidence_of(it).items():
                values[pattern, name].append(value)
    with (ROOM / "answers.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["pattern", "answer", "count", "source"])
        for (pattern, answer), number in sorted(answers.items()):
            writer.writerow([pattern, answer, number, "counted on simulated pulls"])
    with (ROOM / "evidence.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(["pattern", "feature", "middle", "spread", "source"])
        everything = {k: np.concatenate([values[p, k] for p in PATTERNS]) for k in EVIDENCE}
        for pattern in PATTERNS:
            for name in EVIDENCE:
                row = np.array(values[pattern, name])
                if len(row) < 10:
                    row = everything[name]
                middle = float(np.median(row))
                spread = max(1.4826 * float(np.median(np.abs(row - middle))), LEAST_SPREAD)
                source = "measured on simulated pulls"
                writer.writerow([pattern, name, f"{middle:.3f}", f"{spread:.3f}", source])


if __name__ == "__main__":
    main(*(int(text) for text in sys.argv[1:]))

"""A word that stands in no table, beside a figure: asked about where it can change the work.

``blonquar`` and ``ヌヌ`` are no words; each stands where "slacken", "wait", "not", "again" or the
like would stand. Own texts, invented.
"""

import json
import random
from pathlib import Path

import pytest

from clampwright.procedure.reader import read
from clampwright.procedure.reading import Reading

FOLDER = Path(__file__).parent
NO_WORD = {"ja": "ヌヌ"}

STRANGE = [
    ("en", "Screw it in until it lightly seats, then blonquar 1½ turns."),
    ("en", "Fully blonquar bolts 1 to 4, tighten to 20 Nm, then through 80°"),
    ("en", "Spark plug: blonquar, then 1/2 to 2/3 turn"),
    ("en", "Tighten the bolts finger tight; blonquar 60 minutes; then 9 Nm."),
    ("en", "Tighten 4 nuts to 45 ft lbs, blonquar after the first 50 miles"),
    ("en", "Tighten to 25 Nm, blonquar 30 Nm"),
    ("en", "Bolts 1-4 30 Nm, blonquar bolts 45 Nm"),
    ("en", "Step 1: 20 Nm. Step 2: blonquar. Step 3: 90°"),
    ("en", "30 Nm. Do blonquar loosen the bolts."),
    ("en", "Stretch: 0.14 mm blonquar 0.16 mm"),
    ("de", "Die Schraube um eine halbe Umdrehung blonquar, danach mit 18 Nm festziehen."),
    ("de", "1. Stufe 40 Nm; blonquar Stufe 90°; 3. Stufe 90°"),
    ("fr", "Serrer à 60 Nm. Blonquar de 180 degrés. Serrer à 40 Nm."),
    ("fr", "Serrer à 20 Nm, 90° blonquar"),
    ("es", "Apretar 1/4 de vuelta después de blonquar"),
    ("it", "Serrare a 60 Nm. Blonquar di 180 gradi. Serrare a 40 Nm."),
    ("pt", "Parafusos 11 blonquar 14 a 15 Nm"),
    ("nl", "Aandraaien tot blonquar en nog een derde slag"),
    ("ja", "ボルトを20 N·mで締め、60°ヌヌ"),
]

OPEN = [
    ("en", "4 bolts, 2 x 90°, preload 50 Nm", "which comes first"),
    ("en", "Tighten every second bolt to 20 Nm", "by their numbers"),
    ("en", "6 x 25 Nm", "number of fasteners"),
    ("en", "Tighten from 10 Nm to 40 Nm, ½ turn at a time", "how far in all"),
    ("en", "200 Nm, then drive 1 m, then 60°", "distance"),
    ("en", "(A) 20 Nm (B) 35 Nm", "name fasteners"),
    ("de", "Zylinderkopf 1,6 l: 40 Nm, 2,0 l: 60 Nm", "variants"),
    ("en", "Tighten to 40 Nm, wait 10 minutes", "done then"),
]


@pytest.mark.parametrize(("locale", "text"), STRANGE)
def test_an_unknown_word_beside_a_figure_is_asked_about(locale: str, text: str) -> None:
    reading = read(text, locale)
    assert reading.status == "ambiguous", reading.stages
    assert reading.why


@pytest.mark.parametrize(("locale", "text", "asked"), OPEN)
def test_what_hangs_together_wrongly_is_asked_about(locale: str, text: str, asked: str) -> None:
    reading = read(text, locale)
    assert reading.status == "ambiguous", reading.stages
    assert asked in " ".join(map(str, reading.why))


def test_the_reading_as_it_stands_is_offered_to_be_confirmed() -> None:
    reading = read("Tighten every second bolt to 20 Nm", "en")
    assert [[stage.value for stage in one] for one in reading.candidates] == [[20.0]]


def _figures(reading: Reading) -> list[tuple[str, float | None, str | None]]:
    """Return the stages by their figures; a check is pulled to its torque all the same."""
    again = {"torque_check": "torque"}
    return [
        (again.get(one.kind, one.kind) if one.value else one.kind, one.value, one.unit)
        for one in reading.stages
    ]


@pytest.mark.soak
def test_few_texts_change_silently_when_any_one_of_their_words_is_unknown() -> None:
    """Replace each known word of 600 texts by none: how often do the figures change unasked?"""
    lines = [
        json.loads(line)
        for name in ("corpus", "own_cases", "kept_cases", "fresh_cases")
        for line in (FOLDER / f"{name}.jsonl").read_text(encoding="utf-8").splitlines()
        if line.startswith("{")
    ]
    tried = silent = 0
    for case in random.Random(5).sample(lines, 600):
        text, locale = case["text"], case["locale"]
        plain = read(text, locale)
        if plain.status != "ok":
            continue
        told = _figures(plain)
        for word in dict.fromkeys(text.replace("\n", " ").split(" ")):
            if not word.isalpha():
                continue
            changed = read(text.replace(word, NO_WORD.get(locale[:2], "blonquar"), 1), locale)
            tried += 1
            silent += changed.status == "ok" and _figures(changed) != told
    print(f"{tried} texts with one unknown word, {silent} changed silently")
    assert tried > 1000
    assert silent <= 0.025 * tried

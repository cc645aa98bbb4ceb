"""What the text says about oil, dry threads, sealant and the like."""

from __future__ import annotations

from collections.abc import Iterator

from clampwright.procedure.clauses import Clause, Sentence
from clampwright.procedure.draft import Draft
from clampwright.words import words

_OTHER_WORK = ("TIGHTEN", "TURN", "LOOSEN", "TORQUE", "RETIGHTEN", "SNUG", "WAIT", "CHECK")
_TARGETS = {"THREADS": "oil_threads", "UNDERHEAD": "oil_underhead", "SEALRING": "oil_gasket"}


def note_surface(draft: Draft, sentence: Sentence) -> None:
    """Add what a sentence says about the surfaces.

    Parameters
    ----------
    draft : Draft
    sentence : Sentence
    """
    found = list(dict.fromkeys(_found(sentence)))
    if "dry" in found and len(found) > 1:  # "clean and dry the threads, apply sealant"
        product = {"thread_locker", "sealant", "anti_seize"} & set(found)
        found = [c for c in found if not c.startswith("oil_") and not (product and c == "dry")]
    for code in found:
        if code not in draft.lubrication:
            draft.lubrication.append(code)
    for clause in sentence.clauses:
        for index, token in clause.words():
            if token.has("OIL", "LUBE"):
                draft.mark([index], "used", words("state of the surfaces"))


def _found(sentence: Sentence) -> Iterator[str]:
    for place, clause in enumerate(sentence.clauses):
        negated = clause.has("NOT", "WITHOUT")
        for value in clause.values("LUBE"):
            if value == "dry" and _only_under_the_head(clause):
                continue
            if value == "dry" or not negated:
                yield value
        if clause.has("OIL") and not _is_filling(clause):
            if negated and _only_under_the_head(clause):
                continue
            if "if" in clause.leads and any("r" in one.leads for one in sentence.clauses):
                continue  # "55 N·m, or 65 N·m if oiled"
            if negated or (clause.values("LUBE") and "dry" in clause.values("LUBE")):
                yield "dry"
            elif not clause.values("LUBE"):
                yield from _oiled(sentence, place)


def _only_under_the_head(clause: Clause) -> bool:
    """Tell "do not oil the washer faces", which says nothing of the threads."""
    forbids = clause.has("NOT", "WITHOUT") or any(
        token.value("LUBE") == "dry" and " " in token.text for _, token in clause.words()
    )
    return forbids and clause.has("UNDERHEAD", "SEALRING") and not clause.has("THREADS")


def _is_filling(clause: Clause) -> bool:
    """Tell oil in a sump from oil on a thread."""
    volume = any(clause.tokens[i].letter == "V" for item in clause.figures for i in _inner(item))
    return volume or clause.has("NOTOIL", "WHATEVER", "OTHER_UNIT")


def _inner(item: object) -> Iterator[int]:
    tokens: tuple[int, ...] = getattr(item, "tokens", ())
    yield from tokens
    for part in getattr(item, "parts", []):
        yield from _inner(part)


def _oiled(sentence: Sentence, place: int) -> list[str]:
    """Return what is oiled: named in the clause itself or in those that only go on with a list."""
    clauses = [sentence.clauses[place]]
    for following in sentence.clauses[place + 1 :]:
        if following.figures or following.has(*_OTHER_WORK) or following.values("LUBE"):
            break
        clauses.append(following)
    for before in reversed(sentence.clauses[:place]):
        if before.figures or before.has(*_OTHER_WORK) or before.values("LUBE"):
            break
        clauses.insert(0, before)
    codes = [code for name, code in _TARGETS.items() if any(c.has(name) for c in clauses)]
    if "oil_gasket" in codes and len(codes) > 1 and not _gasket_itself(clauses):
        codes.remove("oil_gasket")
    return codes or ["oil_threads"]


def _gasket_itself(clauses: list[Clause]) -> bool:
    return any(c.has("SEALRING") and (c.has("OIL") or len(c.items) <= 3) for c in clauses)


def conflict(draft: Draft) -> None:
    """Ask when dry and oiled are both demanded.

    Parameters
    ----------
    draft : Draft
    """
    oiled = [code for code in draft.lubrication if code.startswith("oil_") and code != "oil_gasket"]
    if "dry" in draft.lubrication and (oiled or "anti_seize" in draft.lubrication):
        draft.lubrication.clear()
        draft.ask(
            "conflicting_instructions",
            words(
                "dry and oiled contradict each other, and the clamp load depends on it;"
                " which one holds?"
            ),
        )

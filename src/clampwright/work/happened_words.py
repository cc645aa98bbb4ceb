"""What happened, in sentences: for the record, the paper, and whoever takes it back."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from clampwright.words import Words, from_data, words
from clampwright.work.aftermath import HAPPENED, SETTLED
from clampwright.work.state import Entry, Noted


def happened_lines(noted: Noted, names: Mapping[str, str]) -> list[Words]:
    """Say what happened and what became of it: the first line says what, the others more.

    Parameters
    ----------
    noted : Noted
    names : mapping of str to str
        Names of people by id; who is not in it is called by the id.

    Returns
    -------
    list of Words
    """
    body = noted.body
    lines = _happened(body, names) if noted.kind == HAPPENED else _settled(body)
    if noted.taken_back:
        lines.append(words("Taken back: {reason}", reason=noted.taken_back))
    return lines


def _happened(body: Mapping[str, Any], names: Mapping[str, str]) -> list[Words]:
    where = {"stage": body["stage"], "what": from_data(body["title"])}
    first = words("{what}, at stage {stage}", **where)
    if body["fastener"]:
        first = words(
            "{what}, at fastener {fastener} of stage {stage}", fastener=body["fastener"], **where
        )
    lines = [first]
    if "to" in body:
        lines.append(hand_over_words(body, names))
    lines += [
        words("{question} {answer}", question=from_data(a["question"]), answer=from_data(a["say"]))
        for a in body["answers"]
    ]
    lines.append(
        words(
            "Offered: {offer} ({source})", offer=from_data(body["offered"]), source=body["source"]
        )
    )
    lines += _effects(body["effects"])
    if body["note"]:
        lines.append(words("Noted: {note}", note=body["note"]))
    return lines + [from_data(line) for line in body.get("summary", ())]


def hand_over_words(body: Mapping[str, Any], names: Mapping[str, str]) -> Words:
    """Say who hands over to whom.

    Parameters
    ----------
    body : mapping
        Of the entry.
    names : mapping of str to str
        Names of people by id; who is not in it is called by the id.
    """
    return words(
        "{one} handed over to {other}",
        one=names.get(body["from"], body["from"]),
        other=names.get(body["to"], body["to"]),
    )


def _settled(body: Mapping[str, Any]) -> list[Words]:
    told = {"question": from_data(body["question"]), "answer": from_data(body["say"])}
    first = words("{question} {answer}", **told)
    if body["told"]:
        first = words("{question} {answer} ({told})", told=body["told"], **told)
    return [first, *_effects(body["effects"])]


def _effects(effects: Mapping[str, Any]) -> list[Words]:
    lines = []
    if effects["void"]:
        lines.append(words("pulls that count no more: {count}", count=len(effects["void"])))
    for one in effects["loosen"]:
        numbers = ", ".join(str(number) for number in one["fasteners"])
        told = {"joint": one["joint"], "numbers": numbers}
        if one["renew"]:
            lines.append(words("to be loosened and renewed, {joint}: {numbers}", **told))
        else:
            lines.append(words("to be loosened, {joint}: {numbers}", **told))
    if effects["suspect"]:
        lines.append(
            words(
                "{tool} laid aside; its pulls that are doubtful: {count}",
                tool=effects["suspect"],
                count=len(effects["doubt"]),
            )
        )
    if effects["clear"]:
        lines.append(words("pulls that are doubtful no more: {count}", count=len(effects["clear"])))
    return lines


def entry_words(entry: Entry) -> Words:
    """Say what an entry that can be taken back was.

    Parameters
    ----------
    entry : mapping

    Returns
    -------
    Words
    """
    body = entry["body"]
    match entry["kind"]:
        case "pull":
            return words(
                "the pull of fastener {fastener} at stage {stage}: {verdict}",
                fastener=body["fastener"],
                stage=body["stage"],
                verdict=body["verdict"],
            )
        case "pull_accepted":
            return words("going on in spite of a verdict: {reason}", reason=body["reason"])
        case "reading_confirmed":
            return words("what a second person read of a pull")
        case "hold_answered":
            return words("what was found after stage {stage}", stage=body["after"])
        case kind if kind == HAPPENED:
            return words("{what}, as noted", what=from_data(body["title"]))
        case kind if kind == SETTLED:
            return words(
                "{question} {answer}",
                question=from_data(body["question"]),
                answer=from_data(body["say"]),
            )
        case _:
            return words("that fastener {number} was loosened", number=body["fastener"])

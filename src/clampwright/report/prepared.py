"""What a record says of the preparation of a joint, the same in text and on paper."""

from __future__ import annotations

from clampwright.words import Words, from_data, words
from clampwright.work.fold import JobState, Settled


def prepared_words(joint: str, state: JobState) -> tuple[Words, ...]:
    """Return what the log says of a joint's preparation, its silence too once work began.

    Parameters
    ----------
    joint : str
    state : JobState

    Returns
    -------
    tuple of Words
        Empty while nothing was pulled and nothing was settled.
    """
    settled = {name: one for (where, name), one in state.settled_points.items() if where == joint}
    passed = {
        name: reason
        for (where, name), reason in state.passed_over.items()
        if where == joint and name not in settled
    }
    if not settled and not passed:
        began = any(pull.key.joint == joint for pull in state.pulls)
        return (words("Nobody went through the preparation list."),) if began else ()
    lines = [_settled(one) for one in settled.values()]
    for reason in dict.fromkeys(passed.values()):
        names = [name.replace("_", " ") for name, why in passed.items() if why == reason]
        lines.append(
            words(
                "Gone on without: {points}. Reason: {reason}",
                points=", ".join(names),
                reason=reason,
            )
        )
    return tuple(lines)


def _settled(one: Settled) -> Words:
    point = from_data(one.body["say"])
    if one.how == "skipped":
        return words("Skipped: {point} Reason: {reason}", point=point, reason=one.reason)
    if one.how == "ticked":
        return words("Done: {point}", point=point)
    chosen = one.body.get("chosen")
    if chosen is None:
        return words("{point} {answer}", point=point, answer=one.answer)
    return words(
        "{point} {answer} ({source})",
        point=point,
        answer=from_data(chosen["say"]),
        source=chosen["source"],
    )

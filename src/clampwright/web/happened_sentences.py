"""Sentences of the script that asks what happened, and of what it leaves open."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words
from clampwright.work.happening import DUE_WORDS

HAPPENED_SCRIPT: Mapping[str, Words] = MappingProxyType(
    {
        "at_fastener": words("At fastener {number}"),
        "at_another": words("or at another:"),
        "fasteners": words("Fasteners"),
        "none_sure": words("None of this stage"),
        "stage_number": words("Stage {number}"),
        "these": words("These"),
        "this_one": words("This one"),
        "number_of_one": words("Touch at least one."),
        "source_is": words("Source: {source}."),
        "ask_maker": words(
            "Ask the maker's information too: it decides whether more has to be started again."
        ),
        "note_more": words("Say more"),
        "note_words": words("In your own words"),
        "take_back": words("Take the last entry back"),
        "take_back_about": words("{what}. Both stay on the log, with the reason."),
        "taken_back": words("Taken back: {reason}"),
        "reason_mistyped": words("Typed or touched by mistake"),
        "reason_not_so": words("It was not so"),
        "happened_at": words("{what} (fastener {number})"),
        "happened_kept": words(
            "It is kept here. What follows from it is shown when the server answers; until then "
            "leave this joint as it is."
        ),
        "due_place": words("Where does the maker say so?"),
        "due_found": words("In your own words"),
        "due_place_needed": words("Say where, such as handbook page 4-12."),
        "due_found_needed": words("Say what was found: it stands in the record."),
        "due_done": words("Done"),
        "due_taken": words("Taken over"),
        "due_given": words("Yes, this is how it stands"),
        "due_next": words("Number of the fastener that is next (0: none)"),
        "due_next_needed": words("Read back which one is next."),
        "due_next_wrong": words("Another one is next here: go through it again together."),
        "hand_over": words("{one} handed over to {other}"),
        **DUE_WORDS,
        "otherwise": words(
            "The workshop found otherwise than this device reckoned. Its word holds: {what}."
        ),
        "otherwise_nothing": words("nothing is to be loosened"),
        "happened_here": words(
            "What follows was worked out here; the workshop looks at it when it is sent."
        ),
        "laid_aside_here": words(
            "{tool} is laid aside. Which other wrench, and its setting, the workshop plans: wait "
            "until what is kept here is sent."
        ),
        "aside_tool": words("Laid aside, in doubt: {tools}"),
    }
)
"""Filled on the device: plain ``{name}`` fields only."""

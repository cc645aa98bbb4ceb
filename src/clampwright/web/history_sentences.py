"""Sentences of the pages of the past: machines, one machine, search."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

HISTORY: Mapping[str, Words] = MappingProxyType(
    {
        "history": words("Machines and search"),
        "history_about": words(
            "What was done on each machine, and every pull there was. All of it is read from the "
            "log."
        ),
        "history_machines": words("Machines"),
        "history_none": words("No job was begun yet."),
        "history_back": words("To the machines"),
        "history_job": words("Job"),
        "history_fastener": words("Fastener"),
        "history_verdict": words("Verdict"),
        "history_torque": words("Last torque"),
        "history_turned": words("Turned from snug"),
        "history_breakaway": words("Broke loose at"),
        "history_pulls": words("Pulls"),
        "history_record": words("Record"),
        "history_drift": words("From job to job"),
        "history_spent": words("Stretch spent"),
        "history_same": words(
            "A fastener is taken for the same one until a job says that new ones were fitted."
        ),
        "find": words("Find pulls"),
        "find_text": words("Words"),
        "find_text_about": words("Each must stand in job, machine, part or tool."),
        "find_machine": words("Machine"),
        "find_part": words("Part"),
        "find_tool": words("Tool"),
        "find_person": words("Person"),
        "find_since": words("From day"),
        "find_until": words("To day"),
        "find_any": words("any"),
        "find_standing": words("Leave out what was voided or pulled again"),
        "find_begin": words("Find"),
        "find_none": words("No pull fits."),
        "find_more": words("There are more than are shown here: ask for less."),
    }
)
"""Of the templates."""

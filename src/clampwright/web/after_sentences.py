"""Sentences of the pages about what comes after: follow-ups, labels, the log and its safety."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

AFTER: Mapping[str, Words] = MappingProxyType(
    {
        "after": words("Come back for it"),
        "after_about": words(
            "Some joints are not finished when the last click is heard. What is due stands here "
            "until somebody says what became of it."
        ),
        "after_none": words("Nothing is to be followed up."),
        "after_calendar": words("Calendar (subscribe to this address)"),
        "after_told": words("Told"),
        "after_planned": words("Planned"),
        "after_source": words("Source"),
        "after_how": words("How"),
        "after_slip": words("Slip for the owner (PDF)"),
        "after_job": words("Job"),
        "after_became": words("What became of it?"),
        "after_done": words("done"),
        "after_refused": words("will not be done"),
        "after_reason": words("What was found, or why not"),
        "after_keep": words("Put it on the log"),
        "after_settled": words("Settled"),
        "after_plan": words("Plan one"),
        "after_joint": words("Joint"),
        "after_what": words("What"),
        "after_retorque": words("tighten again"),
        "after_check": words("look at it"),
        "after_audit": words("try its torque"),
        "after_ways": words("How it is tightened again: practice does not agree, so choose"),
        "after_due": words("Due after; whichever comes first"),
        "after_km": words("Kilometres"),
        "after_hours": words("Hours"),
        "after_days": words("Days"),
        "after_heat": words("Times hot and cold"),
        "after_who": words("Who was told"),
        "after_from": words("Where the figure comes from"),
        "after_practice": words("What practice says, where the maker says nothing"),
        "labels": words("Labels"),
        "labels_about": words(
            "Sheets of A4 with 24 labels of 70 by 37 mm. Each bears a square code that opens the "
            "page of the tool, machine or joint."
        ),
        "labels_for": words("Labels for"),
        "labels_tools": words("tools"),
        "labels_machines": words("machines"),
        "labels_joints": words("joints"),
        "labels_address": words("Address of these pages, as phones reach it"),
        "labels_alone": words(
            "This server is reached from this machine only: no phone can open what such a label "
            "says."
        ),
        "labels_make": words("Make the sheet (PDF)"),
        "safe": words("Log, key and backups"),
        "safe_about": words(
            "The log is the truth of this workshop. Its signed head, kept by somebody else, shows "
            "later that nothing before it was changed; a backup brings it back."
        ),
        "safe_none": words("There is no log yet: it begins with the first job."),
        "safe_log": words("The log"),
        "safe_name": words("Name"),
        "safe_entries": words("Entries"),
        "safe_loose": words("Under no head kept outside"),
        "safe_signed": words("Newest signed head over"),
        "safe_sign": words("Sign the present head"),
        "safe_sheet": words("Newest signed head, to print and sign by hand (PDF)"),
        "safe_kept": words("Heads kept outside"),
        "safe_kept_none": words("None is known to be kept outside. Give one to somebody else."),
        "safe_where": words("Who keeps the newest signed head, or where"),
        "safe_note": words("Put it on the log"),
        "safe_key": words("The key"),
        "safe_key_about": words(
            "Give this fingerprint to everybody who gets a record, by another way than the record."
        ),
        "safe_key_changes": words("Changes of the key so far"),
        "safe_key_locked": words("The key is locked by a pass phrase."),
        "safe_key_open": words(
            "The key is not locked by a pass phrase: whoever can read its file can sign."
        ),
        "safe_key_how": words("What is done with the key is done at the terminal:"),
        "safe_backups": words("Backups"),
        "safe_backups_none": words("There is no backup. Make one, and keep it on another disk."),
        "safe_save": words("Save now"),
        "safe_check": words("Each is read again and checked after it was written."),
        "safe_packages": words("Installed packages"),
        "safe_packages_about": words(
            "Packages can bring languages, kinds of wrench lines, friction conditions and sections "
            "of the record. They can do whatever this program can: install only what you trust."
        ),
        "safe_packages_none": words("No installed package brings anything."),
        "safe_restore": words("To bring one back, at the terminal:"),
    }
)
"""Of the templates."""

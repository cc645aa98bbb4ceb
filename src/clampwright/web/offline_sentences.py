"""Sentences of work without network, for the templates and for the scripts."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

OFFLINE: Mapping[str, Words] = MappingProxyType(
    {
        "take_in": words("Take entries in"),
        "take_in_about": words(
            "Entries that were carried here from a device without network, as a file or as the "
            "texts of its codes. Each is taken once, however often it is brought."
        ),
        "take_in_file": words("The file"),
        "take_in_codes": words("Or the texts of the codes, in any order"),
        "take_in_do": words("Take them in"),
        "reset_about": words(
            "For a device that shows an old page again and again, or none. What it keeps of the "
            "program is thrown away and fetched anew. Entries that were not sent stay on it."
        ),
        "reset_free": words("Throw the kept pages away"),
        "reset_save": words("Save the entries as a file"),
        "reset_empty": words("The file is safe: remove the entries from this device"),
        "reset_none": words("No entry waits on this device."),
        "reset_some": words("{count} entries are only on this device. They stay there."),
        "reset_freed": words(
            "Done. Open the jobs again. {count} entries are still on this device and will be sent."
        ),
        "reset_saved": words(
            "{count} entries were handed to the browser as a file: see that it is there, and have "
            "it taken in at the workshop."
        ),
        "reset_emptied": words("The entries were removed from this device."),
        "asides": words("Not taken, to be settled"),
        "asides_about": words(
            "What a device sent and the log could not take as what it was. It is kept word for "
            "word: say which of them stands, or what was done."
        ),
        "aside_reason": words("Which one stands, and why"),
        "aside_settle": words("Settle it"),
        "come_back_for": words("Come back to sign"),
        "unsigned": words("Waits to be signed"),
        "unsigned_about": words(
            "Done while nobody could sign. It has no effect until it is signed here, with PIN or "
            "password, by the person who did it."
        ),
        "unsigned_sign": words("Sign it now"),
        "unsigned_refuse": words("It is not to count"),
        "unsigned_reason": words("Why not: it stands in the record"),
        "not_known": words("Person not known"),
        "not_known_about": words(
            "Made on a device before its sender signed in. Somebody responsible can say whose hand "
            "it was; both stay on the log."
        ),
        "not_known_who": words("Name, as under People"),
        "not_known_how": words("How that is known"),
        "not_known_do": words("Say whose hand it was"),
        "reset": words("Device stuck?"),
    }
)
"""Of the templates."""

OFFLINE_SCRIPT: Mapping[str, Words] = MappingProxyType(
    {
        "off_ready": words("This device is ready to go on without network."),
        "off_none": words(
            "Over plain http the browser keeps no pages: without network this page goes on as "
            "long as it stays open, but do not load it again. What you enter is kept."
        ),
        "off_failed": words(
            "The pages could not be kept on this device: without network, leave this one open. "
            "What you enter is kept."
        ),
        "off_full": words(
            "This device has no room left: save the entries as a file now, then free some room. "
            "Leave the page open until all is sent."
        ),
        "kept_page": words("No answer from the workshop: as of {time}. What you enter is kept."),
        "running_needed": words(
            "This stage adds the running torque of this nut, and the workshop has to add it: wait "
            "until what is kept here is sent."
        ),
        "refused_safe": words("Both are kept on the log; say on the page of the job which stands."),
        "refused_read": words("Read: go on"),
        "by_changed_plan": words("Have it judged by the changed plan"),
        "close_later": words(
            "{count} entries of this job are only on this device: it can be closed when they are "
            "sent."
        ),
        "kept_unsigned": words("It has no effect before {name} has signed it."),
        "sign_later": words("Leave it open until it is signed"),
        "to_sign": words("To be signed: {count}"),
        "close_in_spite": words("That device cannot send them any more"),
        "here_title": words("{count} entries are only on this device"),
        "here_about": words("They are sent by themselves when the server answers."),
        "here_file": words("Save them as a file"),
        "here_codes": words("Show them as {count} codes"),
        "here_many": words("Too many for codes: save them as a file."),
        "here_stays": words(
            "They stay here until the receipt of the workshop is there, also after this."
        ),
        "here_code": words("Code {number} of {count}"),
        "here_before": words("The one before"),
        "here_next": words("The next"),
        "here_code_about": words(
            "Read each with the camera of a device that reaches the workshop, and put the texts "
            "in at Take entries in."
        ),
        "not_entries": words("This is neither a file of entries nor the texts of its codes."),
        "codes_missing": words("Codes are missing: {which}."),
        "codes_mixed": words("These are codes of two different queues: put in one at a time."),
        "altered": words("Something in it was altered on the way: {which}. Nothing was taken."),
        "in_taken": words("{taken} taken, {known} were here already."),
        "in_aside": words("{count} could not be taken and are kept aside: see their job."),
        "in_left": words("Not taken: {why}"),
        "in_rest": words(
            "{count} entries after it were not looked at: bring them again when it is settled"
        ),
    }
)
"""Of the scripts."""

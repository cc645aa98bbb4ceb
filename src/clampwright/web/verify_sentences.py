"""Sentences of the page that verifies a record in the browser, and of its script."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

VERIFY: Mapping[str, Words] = MappingProxyType(
    {
        "verify": words("Verify a record"),
        "verify_about": words(
            "Choose the record that a workshop gave you: the file (JSON), or the paper (PDF) with "
            "the file in it. It is checked on this device; nothing is sent, nothing is kept."
        ),
        "verify_record": words("Record file"),
        "verify_drop": words("or drop it here"),
        "verify_key": words("Key it must be signed with, if you know it"),
        "verify_key_about": words(
            "The fingerprint (64 digits), the key, or its line, as the workshop gave it to you by "
            "another way: by telephone, on its letterhead, with an earlier job."
        ),
        "verify_kept": words(
            "Heads of the log that were kept elsewhere, bridges and time stamps, if any"
        ),
        "verify_begin": words("Verify"),
        "verify_script": words(
            "This page needs JavaScript, for it reckons here. Without it: clampwright verify FILE"
        ),
    }
)
"""Of the template."""

VERIFY_SCRIPT: Mapping[str, Words] = MappingProxyType(
    {
        "verify_checking": words("Checking …"),
        "verify_no_file": words("Choose a record file first."),
        "verify_unreadable": words("The file cannot be read on this device. Choose it again."),
        "verify_no_paper": words(
            "This PDF is no paper of this program, or the record attached to it is damaged."
        ),
        "verify_key_none": words(
            "That is no key: give its fingerprint (64 digits), its base64 form, or its line "
            "name+id+key."
        ),
        # the outcome
        "verify_whole": words("As it was signed: nothing was altered since."),
        "verify_not_whole": words("NOT as it was signed."),
        "verify_findings": words("What does not hold"),
        "verify_more": words("{count} more do not fit."),
        "verify_rest_holds": words("The entries that are not named are as they were signed."),
        "verify_again": words(
            "Ask the workshop for the file again: it may have been damaged on the way."
        ),
        "verify_key_first": words("First: whose key is it?"),
        "verify_key_compare": words(
            "Anybody can sign a record with a key of their own. Compare this fingerprint with the "
            "one the workshop gave you by another way."
        ),
        "verify_key_demanded": words("This is the key you asked for."),
        "verify_about_file": words("What was checked"),
        "verify_fact_file": words("File: {file}"),
        "verify_fact_job": words("Job: {job}, with {count} entries"),
        "verify_fact_log": words("Log: {origin}, with {count} entries when it was signed"),
        "verify_fact_closed": words("Record closed: {time}"),
        "verify_fact_changes": words("Changes of the log's key since it began: {count}"),
        "verify_holds": words("What holds"),
        "verify_holds_json": words("The file can be read in one way only."),
        "verify_holds_head": words("The head of the log is signed with the key above."),
        "verify_holds_entries": words("Every entry stands at its place under that head."),
        "verify_holds_job": words("No entry of the job is missing, and none is too many."),
        "verify_holds_keys": words("The log began with this key, or its changes lead to it."),
        "verify_limits": words("What this cannot show"),
        "verify_limit_paper": words(
            "That the printed page says the same as the record in it: clampwright verify makes the "
            "paper again and compares."
        ),
        "verify_limit_true": words("That a reading was true, or that a person is who they say."),
        "verify_limit_before": words("That nothing was left out before it came to the log."),
        "verify_limit_log": words(
            "That the holder of the key did not cut the log short or write it anew: a head that "
            "somebody else kept shows that."
        ),
        "verify_limit_change": words(
            "That it is still the same workshop: {count} changes of key were not signed by the old "
            "key. A head given out before shows that."
        ),
        # what does not hold
        "verify_json_large": words("The file is larger than a record may be."),
        "verify_json_utf8": words("The file is not UTF-8 text."),
        "verify_json_json": words("The file is not JSON, from character {at} on."),
        "verify_json_twice": words("A name stands twice in one object, before character {at}."),
        "verify_json_number": words(
            "A number before character {at} is not a whole one, or too large."
        ),
        "verify_json_nfc": words("A text before character {at} is not in its one form (NFC)."),
        "verify_json_half": words("A text before character {at} holds half a character."),
        "verify_json_deep": words("Lists and objects stand too deep in each other, at {at}."),
        "verify_no_record": words(
            "This is not a record, or it holds more or less than a record may."
        ),
        "verify_other_key": words("It is signed with another key than the one you asked for."),
        "verify_head_form": words("The signed head of the log was changed: it has another form."),
        "verify_head_origin": words("The signed head is of another log than the record says."),
        "verify_head_signature": words("The log's head is not signed by the key in the record."),
        "verify_row_form": words("Entry {at} of the file has not the form of an entry."),
        "verify_row_order": words("Entry {at} of the file stands out of order, or twice."),
        "verify_row_altered": words("Entry {at} of the file is not what was signed."),
        "verify_same_id": words("Two entries have the same id."),
        "verify_other_job": words("An entry belongs to another job."),
        "verify_gap": words("An entry of the job is missing, or stands too many."),
        "verify_beginning": words(
            "The log's first entry, which names it and its key, does not fit."
        ),
        "verify_key_change": words("The change of key at place {at} of the log does not hold."),
        "verify_rebuilt": words(
            "It is signed with another key than its log began with: it was rebuilt."
        ),
        "verify_closing": words("It does not end with the entry that closes it."),
        "verify_counted": words("It was closed over other entries than it holds."),
        # heads that were kept elsewhere
        "verify_heads": words("Held against what was kept elsewhere"),
        "verify_stamp_own": words(
            "{file}: a time stamp over the head of this record. Its signature is not checked here "
            "(clampwright verify --chain)."
        ),
        "verify_stamp_kept": words(
            "{file}: a time stamp over the head in {head}. Its signature is not checked here "
            "(clampwright verify --chain)."
        ),
        "verify_stamp_none": words("{file}: a time stamp over none of the heads given."),
        "verify_kept_none": words("{file}: no signed head can be read from it, or none compared."),
        "verify_kept_same": words("{file}: the same head, over {kept} entries."),
        "verify_kept_carried_on": words(
            "{file}: the same log. One head covers {kept} entries, the record's {own}, and one "
            "carries the other on."
        ),
        "verify_kept_another_way": words(
            "{file}: the log went another way. The head kept there, over {kept} entries, does not "
            "belong to it: it was changed, cut short or written anew."
        ),
        "verify_kept_other_log": words("{file}: it is of another log."),
        "verify_kept_no_bridge": words(
            "{file}: not compared yet. It covers {kept} entries, the record's head {own}: ask the "
            "workshop for the bridge between them, and choose that too."
        ),
        "verify_kept_other_key": words(
            "{file}: signed with none of this log's keys; it is worth what the place is worth "
            "where it was kept."
        ),
        "verify_kept_witnesses": words(
            "{file}: {count} lines of witnesses, not checked here (clampwright verify --witness)."
        ),
    }
)
"""Of the script."""

"""Sentences of the page on who outside is told what happens."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

ABOUT: Mapping[str, Words] = MappingProxyType(
    {
        "job_opened": words("a job was begun"),
        "job_closed": words("a job was closed"),
        "verdict_over": words("a pull went over its limit"),
        "verdict_void": words("a pull counts for nothing"),
        "verdict_short": words("a pull fell short"),
        "verdict_doubtful": words("a pull is doubtful"),
        "tool_off": words("a wrench was found off in a comparison"),
        "tool_calibrated": words("a wrench was calibrated"),
        "something_happened": words("something went wrong at a job"),
        "follow_up_due": words("somebody is to come back to a joint"),
        "trial": words("trial message"),
    }
)
"""What can be told, in words."""

TELLING: Mapping[str, Words] = MappingProxyType(
    {
        "telling": words("Tell another program"),
        "telling_about": words(
            "Another program can be told when something happens here: a planning board, for one. "
            "Nothing leaves this machine before a receiver is turned on."
        ),
        "telling_holds": words(
            "A message holds ids and verdicts: no names of people, no figures, no papers. It is "
            "signed with a secret that only this machine and the receiver have."
        ),
        "telling_none": words("Nobody outside is told anything."),
        "telling_told": words("Is told"),
        "telling_delivered": words("Delivered"),
        "telling_waiting": words("Waiting"),
        "telling_dead": words("Given up"),
        "telling_last": words("Last delivered"),
        "telling_tries": words("Tries"),
        "telling_try": words("Send a trial message"),
        "telling_again": words("Send these again"),
        "telling_off": words("Turn off"),
        "telling_on": words("Turn a receiver on"),
        "telling_name": words("Name (small letters, figures, -)"),
        "telling_url": words("Address (https://…)"),
        "telling_place": words("Host"),
        "telling_what": words("What is it told?"),
        "telling_inside": words("It is inside the house (a private address; http is possible)"),
        "telling_secret": words("Secret, shown this once: give it to the receiver now."),
        "telling_key": words("Key id"),
        "telling_seen": words("I have kept it"),
    }
)
"""Names of the page's own sentences."""

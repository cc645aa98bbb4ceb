"""Sentences of the pages about people, and of the pad that asks for a PIN."""

from __future__ import annotations

from collections.abc import Mapping

from clampwright.words import Words, words

PEOPLE: Mapping[str, Words] = {
    "p_people": words("People and workshop"),
    "p_sign_in": words("Sign in"),
    "p_sign_out": words("Sign out"),
    "p_nobody_yet": words(
        "Nobody is set up in this workshop yet. The first administrator is made at the terminal of "
        "this machine: clampwright people add NAME --role administrator"
    ),
    "p_by_password": words("With name and password"),
    "p_name": words("Name"),
    "p_password": words("Password"),
    "p_pin": words("PIN"),
    "p_pin_about": words("4 to 8 digits, to sign with in two seconds"),
    "p_password_about": words("At least 10 characters; a few words in a row are good"),
    "p_enrol": words("Enrol this device"),
    "p_enrol_about": words(
        "On an enrolled device a touch on the name and a PIN are enough. It takes the password of "
        "a responsible person or an administrator, once."
    ),
    "p_called": words("What this device is called"),
    "p_called_example": words("such as: tablet at bay 2"),
    "p_is_enrolled": words("This device is enrolled as"),
    "p_who_works": words("Who works here"),
    "p_you_are": words("You are"),
    "p_add_person": words("Add a person"),
    "p_role": words("Role"),
    "p_change_role": words("Change role"),
    "p_new_pin": words("New PIN"),
    "p_new_password": words("New password"),
    "p_present": words("Password you have now, or PIN where you have no password"),
    "p_own": words("My own PIN and password"),
    "p_keep": words("Keep"),
    "p_look_after": words("Look after"),
    "p_end_sessions": words("Sign out everywhere"),
    "p_erase": words("Erase the name"),
    "p_erase_about": words(
        "Name, password and PIN are erased for good. What this person did stays on the log, under "
        "a random number. Backups made before still hold the name."
    ),
    "p_erase_sure": words("Erase for good"),
    "p_devices": words("Enrolled devices"),
    "p_no_devices": words("No device is enrolled."),
    "p_end_device": words("Take the enrolment away"),
    "p_sessions": words("Signed in now"),
    "p_end_session": words("End"),
    "p_may_table": words("Who may do what"),
    "p_may_yes": words("yes"),
    "p_may_no": words("no"),
    "p_with_pin": words("signed with the PIN"),
    "p_act": words("What"),
    "p_has_pin": words("PIN"),
    "p_has_password": words("password"),
    "p_has_none": words("neither PIN nor password"),
    "p_since": words("since"),
    "p_people_trust": words(
        "A PIN shows who tapped, on a device that was enrolled. It does not show who held the "
        "wrench."
    ),
    "p_here_free": words(
        "On this machine alone nobody needs to sign in. Who does is named in every entry."
    ),
    "l_none": words("Life or limb depends on no joint of this job."),
    "l_about": words(
        "Another person looks at the finished joint, not at the figures. Who works alone looks "
        "again after a pause, and shows with a photograph what was looked at; the record says so."
    ),
    "l_wanted": words("This second look is still to be taken."),
    "l_not_begun": words("Nothing was pulled here yet."),
    "l_closed": words("The job is closed."),
    "l_see_1": words("Every fastener is there, and each bears its mark."),
    "l_see_2": words("No head stands off, no part is missing, nothing is pinched."),
    "l_see_3": words("The right parts, the right way up, as the manufacturer shows them."),
    "l_see_4": words("Setting and figure were those of the manufacturer."),
    "l_alone": words("I did the work myself and look again, alone. The pause in minutes:"),
    "l_minutes": words("(common practice, no source)"),
    "l_photo": words("A photograph of what was looked at"),
    "l_note": words("What you saw, in a few words"),
    "l_in_order": words("All in order"),
    "l_not_in_order": words("Not in order"),
    "l_second_look": words("Second look"),
}
"""Sentences of the templates."""

PEOPLE_SCRIPT: Mapping[str, Words] = {
    "who_are_you": words("Who is it?"),
    "pin_of": words("PIN of {name}"),
    "password_of": words("Password of {name}"),
    "pin_delete": words("Delete the last digit"),
    "pin_done": words("Done"),
    "pin_digits": words("{count} digits typed"),
    "pin_back": words("Somebody else"),
    "pin_cancel": words("Not now"),
    "no_pin_yet": words("no PIN yet"),
    "locked_title": words("Locked. Nothing is lost."),
    "locked_about": words("Tap your name and give the PIN to go on where you were."),
    "sign_act": words("Sign: {act}"),
    "act_accept_doubtful": words("go on in spite of a verdict"),
    "act_overrule_tool": words("take another tool than planned"),
    "act_second_look": words("take a second look"),
    "act_close_job": words("close the job"),
    "act_confirm_procedure": words("confirm the procedure"),
    "role_apprentice": words("apprentice"),
    "role_mechanic": words("mechanic"),
    "role_responsible": words("responsible person"),
    "role_administrator": words("administrator"),
    "may_not_sign": words("may not sign this"),
    "sign_in_page": words("Sign in with the password"),
}
"""Sentences of the scripts."""

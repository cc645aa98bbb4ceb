"""Sentences of the page that lets phones trust the server, and of the page of extras."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

TRUST: Mapping[str, Words] = MappingProxyType(
    {
        "trust": words("Phones and tablets"),
        "trust_about": words(
            "A phone of the workshop opens these pages by the network. Everything needed for "
            "pulling works at once; some extras need the phone to trust this server."
        ),
        "trust_alone": words(
            "This server is for this machine alone: no phone can reach it. Start it on the "
            "workshop's network for that:"
        ),
        "trust_plain": words(
            "This server speaks plain http: the extras are held back by the phone's browser. "
            "Start it with https for them:"
        ),
        "trust_open": words("Open the pages"),
        "trust_open_about": words(
            "Point the phone's camera at the square, or type the address. The figures work "
            "everywhere; the name works where the network passes names on."
        ),
        "trust_first": words("Step 1: let the phone get the authority of this workshop"),
        "trust_first_about": words(
            "The phone must be on the workshop's network. It says that the page is not encrypted; "
            "that is so for this step only."
        ),
        "trust_second": words("Step 2: compare, and take it in"),
        "trust_second_about": words(
            "Compare these figures with those the phone shows, before you trust it. One that "
            "differs is not from this workshop: do not take it in."
        ),
        "trust_fingerprint": words("SHA-256 fingerprint"),
        "trust_get": words("Get the authority of this workshop"),
        "trust_kind_a": words("A phone that says a profile was downloaded"),
        "trust_a_1": words("Open its settings; near the top stands the downloaded profile."),
        "trust_a_2": words("Install it, with the phone's own code."),
        "trust_a_3": words(
            "In the settings, under General, About, Certificate trust, turn it on for this "
            "authority. Without this it counts for nothing."
        ),
        "trust_kind_b": words("A phone that asks what the certificate is for, or keeps the file"),
        "trust_b_1": words(
            "Open its settings, and search there for: certificate. Choose to install a CA "
            "certificate from the phone's storage."
        ),
        "trust_b_2": words("Read the warning, go on, and choose the file you got."),
        "trust_b_3": words(
            "It may show from now on that the network could be watched: that is said for every "
            "authority that was put in by hand."
        ),
        "trust_third": words("Step 3: open the pages by https"),
        "trust_words_differ": words("The words on your phone may differ; these are from memory."),
        "trust_little": words(
            "What you take in can vouch for little: for addresses of private networks and names "
            "that end in .local only, not for any place on the internet. Take it out again in the "
            "same settings when the phone leaves the workshop."
        ),
        "trust_bring": words(
            "The server shows a certificate that was brought to it: there is nothing for the phone "
            "to take in."
        ),
        "extras": words("What works on this device"),
        "extras_about": words(
            "Pulling needs none of these. Each is tried here and now, on this device, at this "
            "address."
        ),
        "extras_script": words("This page needs JavaScript to try them."),
        "extras_touch": words("Try those that need a touch"),
    }
)
"""Of the templates."""

TRUST_SCRIPT: Mapping[str, Words] = MappingProxyType(
    {
        "extras_works": words("works"),
        "extras_touch_first": words("after a touch"),
        "extras_not": words("does not work here"),
        "extras_secure": words("Trusted connection (https, or this machine itself)"),
        "extras_secure_why": words(
            "This page came by plain http. See Phones and tablets for how to get https."
        ),
        "extras_worker": words("Opening the pages without any network"),
        "extras_worker_why": words(
            "Needs a trusted connection. Until then keep the page open: it goes on without "
            "network, but a reload needs the server."
        ),
        "extras_keeps": words("Keeping entries on this device until they are sent"),
        "extras_keeps_why": words(
            "The browser keeps nothing, as in a private window. Entries last only while the page "
            "is open: use an ordinary window."
        ),
        "extras_awake": words("Keeping the screen on during a pull"),
        "extras_awake_why": words(
            "Needs a trusted connection. Until then set the phone's screen to stay on for longer."
        ),
        "extras_awake_refused": words("The phone refuses it just now, often to save its battery."),
        "extras_turn": words("The phone's own rotation sensor as an angle gauge"),
        "extras_turn_why": words(
            "Needs a trusted connection and a sensor. Until then use marks, or an angle gauge."
        ),
        "extras_turn_none": words("This device has no rotation sensor, or gives it to no page."),
        "extras_camera": words("Camera inside a page, to read square codes"),
        "extras_camera_why": words(
            "Needs a trusted connection and a camera. Until then use the phone's own camera "
            "program: it opens the code's page."
        ),
        "extras_voice": words("Speech, by a voice on this device"),
        "extras_voice_none": words(
            "No voice of the device's own was found. Install one in its settings; voices from the "
            "network are not used."
        ),
        "extras_sound": words("Sounds"),
        "extras_sound_why": words("The browser can make no sounds of its own."),
        "extras_shake": words("Vibration"),
        "extras_shake_why": words("This device, or its browser, lets no page use it."),
    }
)
"""Of the script."""

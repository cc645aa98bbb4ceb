"""Sentences of the ways a result comes in: marks, dial, phone, lengths, a second person."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

WAYS: Mapping[str, Words] = MappingProxyType(
    {
        "typed": words("Wrench that types"),
        "typed_about": words(
            "Some wrenches and readers send their value as if it were typed on a keyboard. On the "
            "bench page such a text fills the value whatever has the focus, and never confirms it: "
            "look, then take it. Let yours type here, and see what comes and how it is understood."
        ),
        "typed_how": words(
            "Signs less than 35 ms apart are taken as a device's; what fingers type goes its usual "
            "way. An Enter at its end, early or late, is swallowed; the same text twice within "
            "0.8 s counts once."
        ),
        "device": words("Device"),
        "device_about": words(
            "A wrench or logger on a serial port (USB too) that this server holds: its lines go "
            "into the pull a bench page asks for. Only one program can have a port."
        ),
        "device_found": words("What was found"),
        "device_sample": words("The last lines, as they came:"),
        "device_state": words("How it stands"),
        "device_pulling": words("It is recording a pull just now."),
        "device_look": words("Look what is wrong"),
        "device_port": words("Port"),
        "device_ports": words("The system knows:"),
        "device_no_ports": words("The system knows no serial port just now."),
        "device_speed": words("Speed, bits a second"),
        "device_listen": words("Listen for three seconds"),
        "device_caution": words(
            "Opening a port makes some devices start anew: not while one is loaded."
        ),
        "device_keep": words("To let the server hold a port, keep it, then start the server anew:"),
    }
)
"""Of the templates."""

WAYS_SCRIPT: Mapping[str, Words] = MappingProxyType(
    {
        "ways_title": words("Another way to tell it"),
        "ways_marks": words("By marks, dial or phone"),
        "ways_stretch": words("By lengths"),
        "ways_turning": words("Several readings"),
        "way_marks": words("Marks"),
        "way_gauge": words("Dial"),
        "way_phone": words("Phone"),
        "minus": words("Minus"),
        # marks
        "mark_to": words("mark from {start} to {goal} o'clock"),
        "mark_once": words("mark: {start}, once round, to {goal} o'clock"),
        "mark_times": words("mark: {start}, {turns} times round, to {goal} o'clock"),
        "paint_here": words("Paint the mark at"),
        "mark_now": words("It stands now at"),
        "full_turns": words("Full turns"),
        "mark_touch": words("After the turn, touch where the mark stands now."),
        "mark_touch_first": words("Touch first where the mark stands now."),
        "mark_angle": words("That is {angle}°, ± {spread}° as an eye reads it."),
        # a dial on the socket
        "gauge_shows": words("The dial shows, °"),
        "gauge_when": words("Read"),
        "gauge_let_go": words("after letting go"),
        "gauge_loaded": words("while pulling"),
        "gauge_zero": words("It stood before at, °"),
        "gauge_play": words("It moved freely first by, °"),
        "gauge_more": words("Not at zero before, or play not taken up"),
        "gauge_about": words(
            "Take up the play, set the dial to zero, turn, let go, read. While the wrench pulls, "
            "socket and extension are wound up, and the dial shows more than the fastener turned."
        ),
        # the phone
        "phone_about": words(
            "Strap the phone to the handle so that it cannot slip. Hold still for half a second, "
            "pull, hold still again. A ratchet's play is in each swing, and the wind-up of the "
            "wrench is not taken out."
        ),
        "phone_insecure": words(
            "This page was not fetched securely, so the browser withholds the rotation sensor. "
            "Marks or a dial need none."
        ),
        "phone_extras": words("What works here, and how to get the rest"),
        "phone_none": words("This browser knows no rotation sensor."),
        "phone_denied": words("The rotation sensor was not allowed."),
        "phone_start": words("Begin to record"),
        "phone_still": words("Recording. Hold still, pull, hold still."),
        "phone_stop": words("End the recording"),
        "phone_silent": words(
            "The sensor told nothing: this device has none, or it is turned off."
        ),
        "phone_found": words("{angle}° ± {spread}° (95 %), swings: {swings}."),
        # lengths
        "stretch_free": words("Free, before tightening"),
        "stretch_tight": words("Tight"),
        "stretch_gauge": words("Read from"),
        "stretch_step": words("Division of the gauge"),
        "stretch_warm": words("Warmer or colder between the readings?"),
        "stretch_cold_at": words("At the free readings, °C"),
        "stretch_warm_at": words("At the tight readings, °C"),
        "take_stretch": words("Take these lengths"),
        "add_reading": words("Add"),
        "drop_reading": words("Drop {value}"),
        # while turning
        "turning_values": words("Read while it turns, {unit}"),
        "turning_peak": words("Peak that broke it loose, if read"),
        "turning_about": words(
            "Friction at rest is higher than while turning: the peak at the start is left out of "
            "the mean. Read several times in one slow, steady turn."
        ),
        # a device that types
        "typed_hear": words("Hear a device that types"),
        "typed_mark_of": words("Decimal mark it types"),
        "typed_either": words("either, where it is clear"),
        "typed_point": words("point, as in 12.5"),
        "typed_comma": words("comma, as in 12,5"),
        "typed_came": words("What came"),
        "typed_wait": words("Nothing has to be clicked: let the device type."),
        "typed_read": words("read as {value}, unit {unit}"),
        "typed_none": words("no figure in it"),
        "typed_two": words("more than one figure in it: let the device send one only"),
        "typed_mark": words("the figure can be read in two ways: choose its decimal mark"),
        "typed_unit": words("a unit this page does not know"),
        "typed_enter": words("ended by Enter"),
        "typed_no_enter": words("without Enter"),
        "typed_double": words("a double, counted once"),
        "typed_filled": words("The device typed {text}. Look, then take it."),
        "typed_other_unit": words(
            "The device typed {text}; asked is {unit}. Nothing was filled in."
        ),
        "typed_not_read": words("The device typed {text}: {why}. Nothing was filled in."),
        "typed_not_asked": words("The device typed {text}, but no figure is asked just now."),
        # a device of the server's
        "from_device": words("From the device"),
        "break_off": words("Break off"),
        # a second person
        "second_reads": words("A second person reads"),
        "second_title": words("Second person: what do you read?"),
        "second_person": words("second person"),
        "second_agrees": words("A second person read the same."),
        "what_read_in": words("What do you read, {unit}?"),
        "compare_reading": words("Compare"),
    }
)
"""Of the scripts; plain ``{name}`` fields only."""

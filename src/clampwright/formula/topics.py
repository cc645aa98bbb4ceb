"""What the topics of the relations are called; tables are named by their files."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from clampwright.words import Words, words

ROOMS: Mapping[str, Words] = MappingProxyType(
    {"drawer": words("drawer"), "joint": words("joint"), "trace": words("trace")}
)
TOPICS: Mapping[str, Words] = MappingProxyType(
    {
        "adapters": words("adapters"),
        "bearing_face": words("bearing face"),
        "calibration": words("calibration"),
        "evaluation": words("evaluation"),
        "gaskets": words("gaskets"),
        "interaction": words("interaction"),
        "outliers": words("outliers"),
        "power_screw": words("power screw"),
        "scatter": words("scatter"),
        "service_load": words("service load"),
        "stiffness": words("stiffness"),
        "stiffness_rivals": words("stiffness rivals"),
        "stress": words("stress"),
        "stretch": words("stretch"),
        "structural": words("structural"),
        "threads_and_losses": words("threads and losses"),
        "torque_angle": words("torque angle"),
        "torque_angle_trace": words("torque angle trace"),
        "torque_tension": words("torque tension"),
        "uncertainty": words("uncertainty"),
    }
)


def topic_words(room: str, topic: str) -> Words:
    """Return room and topic of relations in words; a name without words stands as it is.

    Examples
    --------
    >>> str(topic_words("joint", "service_load"))
    'joint: service load'
    """
    plain = topic.replace("_", " ")
    return words("{room}: {topic}", room=ROOMS.get(room) or room, topic=TOPICS.get(topic) or plain)

"""The pages about people: signing in, and people and workshop."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import Response

from clampwright.locale import say
from clampwright.web.access import visitor_of
from clampwright.web.people_api import listed_here, session_view
from clampwright.web.shared import house
from clampwright.words import words
from clampwright.work.roles import ACTS, ROLES, acts, may


def sign_in(request: Request, to: str = "/") -> Response:
    """Show the tiles with names, or ask for name and password."""
    place, visitor = house(request), visitor_of(request.scope)
    facts = {
        "title": say(words("Sign in")),
        "session": session_view(place, visitor),
        "to": to if _is_here(to) else "/",
        "any": place.keeper.known().any,
        "enrolled": visitor.device.name if visitor.device else "",
    }
    return place.pages.answer("sign_in.html", facts)


def _is_here(to: str) -> bool:
    """Whether an address leads to a page of this server; browsers pass over tabs and line ends."""
    return to.startswith("/") and not to.startswith(("//", "/\\")) and to.isprintable()


def people(request: Request) -> Response:
    """Show who works here and who may do what, and let administrators look after it."""
    place, visitor = house(request), visitor_of(request.scope)
    actor = visitor.actor
    looks_after = actor is not None and may(actor.role, "look_after_people")
    found = listed_here(place)
    facts = {
        "title": say(words("People and workshop")),
        "me": actor.person if actor else None,
        "my_role": say(ROLES[actor.role]) if actor else "",
        "my_name": visitor.person.name if visitor.person and actor else "",
        "looks_after": looks_after,
        "enrolled": visitor.device.name if visitor.device else "",
        "any": place.keeper.known().any,
        "people": [
            {
                **one,
                "name": one["name"] or say(words("a person, name erased")),
                "role_words": say(ROLES[one["role"]]),
            }
            for one in found["people"]
        ],
        "devices": [one for one in found["devices"] if not one["ended"]],
        "sessions": found["sessions"] if looks_after else [],
        "roles": {name: say(one) for name, one in ROLES.items()},
        "table": [
            {
                "act": say(ACTS[name]),
                "may": [role in one.roles for role in ROLES],
                "signs": one.signs,
            }
            for name, one in acts().items()
        ],
    }
    return place.pages.answer("people.html", facts)

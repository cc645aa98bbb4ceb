"""What a change of the API would break for programs that use it.

Compares two descriptions (OpenAPI 3.1): what was taken away or narrowed is a break, what was added
is none. The rule stands in docs/reference/schemas.md.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

Node = dict[str, Any]
METHODS = ("get", "put", "post", "delete", "patch")
NARROWER = (
    ("maxLength", -1), ("minLength", 1), ("maximum", -1), ("minimum", 1), ("maxItems", -1),
    ("minItems", 1), ("exclusiveMaximum", -1), ("exclusiveMinimum", 1),
)  # fmt: skip
"""Limits, and in which direction a change of what is sent narrows them."""


def breaks(old: Node, new: Node) -> list[str]:
    """Return what the new description takes away from programs written for the old one.

    Parameters
    ----------
    old, new : dict
        OpenAPI descriptions.

    Returns
    -------
    list of str
    """
    return list(_paths(old, new))


def _paths(old: Node, new: Node) -> Iterator[str]:
    for path, ways in old["paths"].items():
        for method in METHODS:
            if method not in ways:
                continue
            where = f"{method.upper()} {path}"
            now = new["paths"].get(path, {}).get(method)
            if now is None:
                yield f"{where} is gone"
            else:
                yield from _way(ways[method], now, old, new, where)


def _way(was: Node, now: Node, old: Node, new: Node, where: str) -> Iterator[str]:
    before = {(one["in"], one["name"]): one for one in was.get("parameters", ())}
    after = {(one["in"], one["name"]): one for one in now.get("parameters", ())}
    for key, one in after.items():
        if one.get("required") and not before.get(key, {}).get("required"):
            yield f"{where}: {key[1]} must now be given"
    for key, one in before.items():
        if key not in after:
            yield f"{where}: {key[1]} is no longer taken"
        else:
            pair = Pair(old, new, sent=True)
            yield from pair.schema(one["schema"], after[key]["schema"], f"{where}: {key[1]}")
    yield from Pair(old, new, sent=True).schema(_body(was), _body(now), f"{where}: what is sent")
    for status, answer in was.get("responses", {}).items():
        got = now.get("responses", {}).get(status)
        if got is None:
            yield f"{where}: no answer {status} any more"
        else:
            pair = Pair(old, new, sent=False)
            yield from pair.schema(_content(answer), _content(got), f"{where}: answer {status}")


def _body(way: Node) -> Node:
    return _content(way.get("requestBody", {}))


def _content(node: Node) -> Node:
    found: Node = node.get("content", {}).get("application/json", {}).get("schema", {})
    return found


class Pair:
    """Two descriptions whose schemas are compared.

    Parameters
    ----------
    old, new : dict
    sent : bool
        Whether programs send what is compared, or receive it.
    """

    def __init__(self, old: Node, new: Node, *, sent: bool) -> None:
        self.old, self.new, self.sent = old, new, sent
        self._seen: set[tuple[str, str]] = set()

    def schema(self, was: Node, now: Node, where: str) -> Iterator[str]:
        """Yield what was taken away or narrowed."""
        pair = (was.get("$ref", ""), now.get("$ref", ""))
        if all(pair):
            if pair in self._seen:
                return
            self._seen.add(pair)
        was, now = _meant(was, self.old), _meant(now, self.new)
        if was and now and _type(was) != _type(now):
            yield f"{where}: {_type(was)} became {_type(now)}"
            return
        yield from self._choices(was, now, where)
        yield from self._members(was, now, where)
        if "items" in was and "items" in now:
            yield from self.schema(was["items"], now["items"], f"{where}[]")
        if self.sent:
            yield from _limits(was, now, where)

    def _choices(self, was: Node, now: Node, where: str) -> Iterator[str]:
        for word in ("enum", "const"):
            before, after = _set(was.get(word)), _set(now.get(word))
            lost = before - after if self.sent else after - before
            if word in was and word in now and lost:
                yield f"{where}: choices changed: {', '.join(sorted(lost))}"
            if self.sent and word in now and word not in was:
                yield f"{where}: only some choices are taken now"
            if not self.sent and word in was and word not in now:
                yield f"{where}: any choice may come now"
        before, after = (len(one.get("anyOf", ())) for one in (was, now))
        if self.sent and before > after:
            yield f"{where}: fewer forms are taken"
        if not self.sent and was and after > before:
            yield f"{where}: another form may come"
        for number, (one, other) in enumerate(zip(was.get("anyOf", ()), now.get("anyOf", ()),
                                                  strict=False)):  # fmt: skip
            yield from self.schema(one, other, f"{where} (form {number + 1})")

    def _members(self, was: Node, now: Node, where: str) -> Iterator[str]:
        before, after = was.get("properties", {}), now.get("properties", {})
        for name, one in before.items():
            if name not in after:
                yield f"{where}: member {name} is gone"
            else:
                yield from self.schema(one, after[name], f"{where}.{name}")
        first, second = (set(one.get("required", ())) for one in (was, now))
        for name in sorted(second - first if self.sent else first - second):
            if name in before or self.sent:
                yield f"{where}: member {name} is {'needed now' if self.sent else 'not sure now'}"


def _limits(was: Node, now: Node, where: str) -> Iterator[str]:
    for word, sign in NARROWER:
        if word in now and (word not in was or sign * (now[word] - was[word]) > 0):
            yield f"{where}: {word} is narrower"


def _meant(node: Node, top: Node) -> Node:
    name = node.get("$ref")
    return node if name is None else top["components"]["schemas"][name.rpartition("/")[2]]


def _type(node: Node) -> str:
    """Return what a node is: its type, or the types of its forms."""
    if "anyOf" in node:
        return "one of several forms"
    return str(node.get("type", "anything"))


def _set(value: object) -> set[str]:
    if value is None:
        return set()
    return {json.dumps(one) for one in (value if isinstance(value, list) else [value])}


def main() -> int:
    """Compare two files; status 1 when something breaks."""
    old, new = (json.loads(Path(name).read_text("utf-8")) for name in sys.argv[1:3])
    found = breaks(old, new)
    print("\n".join(found) or "nothing breaks")
    return int(bool(found))


if __name__ == "__main__":
    sys.exit(main())

# ruff: noqa: INP001 - an example that is run by itself, not part of a package
"""Verify a record of work with Python alone: nothing of Clampwright is imported.

Written from ``docs/reference/record-format.md``, whose steps it follows by number.

    python verify_record.py RECORD [FINGERPRINT]

Exit status 0 when the record is as it was signed, else 1. A record that passes was not altered
since it was signed; whether a reading was true, no file can show.
"""

from __future__ import annotations

import base64
import json
import re
import sys
import unicodedata
from datetime import datetime
from hashlib import sha256, sha512
from pathlib import Path
from typing import Any

RECORD = {"checkpoint", "entries", "format", "job", "key", "origin", "version"}
ENTRY = {"body", "device", "id", "job", "job_seq", "kind", "recorded", "version"}
ID = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
KIND = re.compile(r"[a-z][a-z0-9_]{0,63}")
TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d{1,9})?(?:Z|[+-]\d\d:\d\d)", re.ASCII)
SIZE = re.compile(r"0|[1-9][0-9]{0,15}")
LARGEST = 2**53 - 1


class BadRecordError(Exception):
    """The record is not as it was signed; the text says where."""


def need(holds: object, problem: str) -> None:
    """Stop with a problem unless something holds."""
    if not holds:
        raise BadRecordError(problem)


# --- step 1: strict JSON -------------------------------------------------------------------------


def parse(data: bytes) -> Any:
    """Read JSON and refuse what leaves doubt."""
    try:
        content = json.loads(
            data.decode("utf-8"),
            object_pairs_hook=once,
            parse_float=no_number,
            parse_constant=no_number,
        )
    except (UnicodeDecodeError, json.JSONDecodeError, RecursionError) as error:
        raise BadRecordError(f"this is not JSON: {error}") from None
    plain(content, 32)
    return content


def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Refuse a name that stands twice in one object."""
    content = dict(pairs)
    need(len(content) == len(pairs), "a name stands twice in one object")
    return content


def no_number(text: str) -> None:
    """Refuse what is no integer."""
    raise BadRecordError(f"{text} is not an integer")


def plain(value: object, levels: int) -> None:
    """Refuse integers too large, text outside NFC, and deep nesting."""
    if isinstance(value, str):
        need(unicodedata.is_normalized("NFC", value), "a text is not in form NFC")
        need(not any("\ud800" <= c <= "\udfff" for c in value), "half a character")
    elif isinstance(value, int):
        need(abs(value) <= LARGEST, "an integer is too large")
    elif isinstance(value, dict | list):
        need(levels > 0, "nested too deep")
        inside = [*value, *value.values()] if isinstance(value, dict) else value
        for one in inside:
            plain(one, levels - 1)


# --- step 2: canonical form (RFC 8785) ------------------------------------------------------------


def canonical(value: object) -> bytes:
    """Write the one byte form of integers, text, true, false, null, lists and objects."""
    return written(value).encode("utf-8")


def written(value: object) -> str:
    """Write a value; names sorted by their UTF-16 code units, no spaces."""
    if isinstance(value, dict):
        names = sorted(value, key=lambda name: name.encode("utf-16-be"))
        return "{" + ",".join(f"{written(name)}:{written(value[name])}" for name in names) + "}"
    if isinstance(value, list):
        return "[" + ",".join(written(one) for one in value) + "]"
    # For what is left, Python's own writer does what RFC 8785 asks for.
    return json.dumps(value, ensure_ascii=False)


# --- step 3: key and signed head ------------------------------------------------------------------


def decoded(text: object, size: int, what: str) -> bytes:
    """Read base64 that is written in the one right way."""
    need(isinstance(text, str), f"{what} is no text")
    try:
        data = base64.b64decode(str(text), validate=True)
    except ValueError:
        data = b""
    need(base64.b64encode(data).decode() == text and len(data) == size, f"{what} is not readable")
    return data


def signed_head(checkpoint: object, origin: object, key: bytes) -> tuple[int, bytes]:
    """Check the checkpoint; return the size of the log and its root hash."""
    need(isinstance(checkpoint, str), "the checkpoint is no text")
    need(len(str(checkpoint)) <= 2_000, "the checkpoint is too long")
    lines = str(checkpoint).split("\n")
    need(len(lines) == 6 and lines[3] == lines[5] == "", "the checkpoint has another form")
    name, size, root = lines[:3]
    need(name == origin, "origin and checkpoint name different logs")
    need(0 < len(name) <= 120 and name.isprintable(), "the origin is not a name")
    need(not any(c.isspace() or c == "+" for c in name), "the origin is not a name")
    need(SIZE.fullmatch(size), "the size of the log is not a number")
    need(lines[4].startswith(f"— {name} "), "the signature line names another log")
    signature = decoded(lines[4].removeprefix(f"— {name} "), 68, "the signature")
    key_id = sha256(name.encode() + b"\n\x01" + key).digest()[:4]
    need(signature[:4] == key_id, "the signature is of another key")
    message = f"{name}\n{size}\n{root}\n".encode()
    need(ed25519_holds(key, message, signature[4:]), "the signature does not hold")
    return int(size), decoded(root, 32, "the root hash")


# Ed25519, RFC 8032 section 5.1: the curve's numbers and the check of section 5.1.7.
P = 2**255 - 19
ORDER = 2**252 + 27742317777372353535851937790883648493
D = -121665 * pow(121666, -1, P) % P
Point = tuple[int, int, int, int]


def add(a: Point, b: Point) -> Point:
    """Add two points in extended coordinates (RFC 8032, section 5.1.4)."""
    m, n = (a[1] - a[0]) * (b[1] - b[0]) % P, (a[1] + a[0]) * (b[1] + b[0]) % P
    c, d = 2 * a[3] * b[3] * D % P, 2 * a[2] * b[2] % P
    e, f, g, h = n - m, d - c, d + c, n + m
    return (e * f % P, g * h % P, f * g % P, e * h % P)


def times(number: int, point: Point) -> Point:
    """Add a point to itself so many times."""
    total: Point = (0, 1, 1, 0)
    while number:
        if number & 1:
            total = add(total, point)
        point, number = add(point, point), number >> 1
    return total


def decompressed(data: bytes) -> Point | None:
    """Find the point of 32 bytes, or None."""
    y = int.from_bytes(data, "little")
    odd, y = y >> 255, y & (2**255 - 1)
    if y >= P:
        return None
    square = (y * y - 1) * pow(D * y * y + 1, -1, P) % P
    x = pow(square, (P + 3) // 8, P)
    if (x * x - square) % P:
        x = x * pow(2, (P - 1) // 4, P) % P
    if (x * x - square) % P or (x == 0 and odd):
        return None
    x = P - x if x & 1 != odd else x
    return (x, y, 1, x * y % P)


BASE = decompressed((4 * pow(5, -1, P) % P).to_bytes(32, "little")) or (0, 1, 1, 0)


def ed25519_holds(key: bytes, message: bytes, signature: bytes) -> bool:
    """Say whether a signature was made with a key over a message."""
    a, r, s = decompressed(key), decompressed(signature[:32]), signature[32:]
    number = int.from_bytes(s, "little")
    if a is None or r is None or number >= ORDER:
        return False
    h = int.from_bytes(sha512(signature[:32] + key + message).digest(), "little") % ORDER
    left, right = times(number, BASE), add(r, times(h, a))
    return (
        (left[0] * right[2] - right[0] * left[2]) % P
        == 0
        == (left[1] * right[2] - right[1] * left[2]) % P
    )


# --- step 4: each entry by itself -----------------------------------------------------------------


def check_entry(item: object, before: int, size: int, root: bytes) -> dict[str, Any]:
    """Check the form of one entry and that it belongs under the root."""
    need(isinstance(item, dict) and set(item) == {"entry", "index", "proof"}, "other members")
    assert isinstance(item, dict)  # noqa: S101 - for the reader of types; need() has just seen to it
    index, entry = item["index"], item["entry"]
    need(type(index) is int and before < index < size, "its place is not a place after the last")
    check_members(entry)
    need(isinstance(item["proof"], list) and len(item["proof"]) <= 64, "its proof is not readable")
    proof = [decoded(node, 32, "a node of its proof") for node in item["proof"]]
    data = canonical(entry)
    need(len(data) <= 1_000_000, "it is too large")
    leaf = sha256(b"\x00" + data).digest()
    need(root_from(leaf, index, size, proof) == root, "it is not what was signed")
    return dict(entry)


def root_from(leaf: bytes, index: int, size: int, proof: list[bytes]) -> bytes | None:
    """Compute the root that a proof leads to (RFC 9162, section 2.1.3.2)."""
    fn, sn, r = index, size - 1, leaf
    for p in proof:
        if sn == 0:
            return None
        if fn & 1 or fn == sn:
            r = sha256(b"\x01" + p + r).digest()
            while fn and not fn & 1:
                fn, sn = fn >> 1, sn >> 1
        else:
            r = sha256(b"\x01" + r + p).digest()
        fn, sn = fn >> 1, sn >> 1
    return r if sn == 0 else None


def check_members(entry: object) -> None:
    """Check what an entry must hold."""
    need(isinstance(entry, dict) and set(entry) == ENTRY, "an entry has other members")
    assert isinstance(entry, dict)  # noqa: S101 - for the reader of types; need() has just seen to it
    need(type(entry["version"]) is int and entry["version"] == 1, "the version is not 1")
    need(isinstance(entry["id"], str) and ID.fullmatch(entry["id"]), "the id is no UUID 7")
    need(isinstance(entry["kind"], str) and KIND.fullmatch(entry["kind"]), "the kind is no word")
    need(isinstance(entry["body"], dict), "the body is no object")
    device = entry["device"]
    need(isinstance(device, dict) and set(device) == {"id", "time"}, "the device is another")
    need(is_name(device["id"]) and is_time(device["time"]), "the device's id or time is none")
    need(is_time(entry["recorded"]) and entry["recorded"][-1] == "Z", "recorded is no UTC time")
    if entry["job"] is None:
        need(entry["job_seq"] is None, "a place in a job without a job")
    else:
        need(is_name(entry["job"]), "the job is no name")
        need(type(entry["job_seq"]) is int and entry["job_seq"] >= 0, "the place is no number")


def is_name(value: object) -> bool:
    """Say whether a value is 1 to 200 printable characters."""
    return isinstance(value, str) and 0 < len(value) <= 200 and value.isprintable()


def is_time(value: object) -> bool:
    """Say whether a value is a date and time after RFC 3339."""
    if not isinstance(value, str) or not TIME.fullmatch(value):
        return False
    try:
        datetime.fromisoformat(value)
    except ValueError:
        return False
    return True


# --- step 5: the entries together -----------------------------------------------------------------


def last_key(content: dict[str, Any], first: dict[str, Any]) -> str:
    """Follow the changes of key from the log's first one; return the last."""
    present = first["body"].get("public_key")
    decoded(present, 32, "the log's first key")
    for item in content["entries"]:
        if item["entry"]["kind"] == "key_changed":
            need(item["entry"]["job"] is None, "a change of key belongs to no job")
            present = changed(content["origin"], item["index"], item["entry"]["body"], present)
    return str(present)


def changed(origin: str, index: int, body: dict[str, Any], present: object) -> str:
    """Check one change of key; return the new key."""
    members = {"before", "key", "reason", "signed_by_new", "signed_by_old"}
    need(set(body) == members, "a change of key has other members")
    before, reason, old = body["before"], body["reason"], body["signed_by_old"]
    need(isinstance(before, dict) and set(before) == {"key", "root", "size"}, "no head before")
    need(reason in {"planned", "lost", "stolen"}, "no reason for a change of key")
    need(type(before["size"]) is int and before["size"] == index, "made for another place")
    need(before["key"] == present, "a change from another key than the log had")
    decoded(before["root"], 32, "the root before a change")
    keys = [(decoded(body["key"], 32, "a new key"), body["signed_by_new"])]
    need(old is not None or reason != "planned", "the old key did not sign a planned change")
    if old is not None:
        keys.append((decoded(before["key"], 32, "an old key"), old))
    lines = ("clampwright key change", origin, str(index), before["root"])
    said = "".join(f"{one}\n" for one in (*lines, before["key"], body["key"], reason)).encode()
    for key, signature in keys:
        holds = ed25519_holds(key, said, decoded(signature, 64, "a signature"))
        need(holds, "a change of key is not signed by its keys")
    return str(body["key"])


def check_together(content: dict[str, Any], entries: list[dict[str, Any]]) -> None:
    """Check that nothing is missing, nothing is too many, and whose log it is."""
    first, last, count, ids, others = entries[0], entries[-1], 0, set[str](), list[str]()
    need(content["entries"][0]["index"] == 0 and first["kind"] == "log_opened", "the start misses")
    need(last_key(content, first) == content["key"], "the log's keys do not lead to this one")
    need(first["body"].get("origin") == content["origin"], "the log began under another name")
    for entry in entries:
        need(entry["id"] not in ids, "two entries have the same id")
        ids.add(entry["id"])
        if entry["job"] is None:
            others.append(entry["id"])
            continue
        need(entry["job"] == content["job"], "an entry belongs to another job")
        need(entry["job_seq"] == count, f"entry {count} of the job misses")
        count += 1
    closing = last["body"]
    need(last["kind"] == "record_made" and last["job"] is not None, "the end misses")
    need(set(closing) == {"also", "entries"}, "the closing entry has another form")
    need(type(closing["entries"]) is int, "the number of entries is no number")
    need(closing["entries"] == count - 1, "it was closed over another number of entries")
    need(closing["also"] == others[1:], "it was closed over other entries outside the job")


def verify(data: bytes, fingerprint: str | None = None) -> str:
    """Verify a record and return the fingerprint of its key."""
    need(len(data) <= 100_000_000, "the file is too large")
    content = parse(data)
    need(isinstance(content, dict) and set(content) == RECORD, "the record has other members")
    need(content["format"] == "clampwright-record", "this is not a record")
    need(type(content["version"]) is int and content["version"] == 1, "the version is not 1")
    key = decoded(content["key"], 32, "the key")
    size, root = signed_head(content["checkpoint"], content["origin"], key)
    need(isinstance(content["entries"], list) and content["entries"], "there are no entries")
    entries: list[dict[str, Any]] = []
    before = -1
    for number, item in enumerate(content["entries"], 1):
        try:
            entries.append(check_entry(item, before, size, root))
        except BadRecordError as bad:
            raise BadRecordError(f"entry {number} of the file: {bad}") from None
        before = item["index"]
    check_together(content, entries)
    own = sha256(key).hexdigest()
    wanted = own if fingerprint is None else "".join(fingerprint.split()).lower()
    need(own == wanted, "the record is signed with another key than the one demanded")
    return own


def main() -> int:
    """Verify the file named on the command line."""
    try:
        own = verify(Path(sys.argv[1]).read_bytes(), *sys.argv[2:3])
    except BadRecordError as bad:
        print(f"NOT as it was signed: {bad}")  # noqa: T201 - a program that prints
        return 1
    print(f"as it was signed, with the key {own}")  # noqa: T201 - a program that prints
    return 0


if __name__ == "__main__":
    sys.exit(main())

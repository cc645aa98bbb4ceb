"""Log, key and backups, and sheets of labels: what a workshop needs beside the bench."""

from __future__ import annotations

import datetime as dt
from http import HTTPStatus
from pathlib import Path
from typing import Annotated, Any

from fastapi import Query, Request
from fastapi.responses import JSONResponse, Response
from pydantic import StringConstraints

from clampwright.bench.anchoring import HEAD_KEPT, anchored_size, keep_head, signed_head_at
from clampwright.bench.backup import NAMED, dated, write_backup, zip_in
from clampwright.bench.extending import GROUP_WORDS, extensions
from clampwright.bench.folder import BACKUPS
from clampwright.bench.labels import job_labels, joint_labels, tool_labels, written
from clampwright.bench.sheets import head_sheet
from clampwright.errors import Missing, Refused
from clampwright.locale import figure, say
from clampwright.proof.witness import read_note
from clampwright.report.label_sheet import labels_pdf
from clampwright.report.sheet import sheet_pdf
from clampwright.store import Store
from clampwright.store.folder import Folder
from clampwright.store.keyfile import is_locked
from clampwright.web.api import Entry
from clampwright.web.desk import entry_of
from clampwright.web.models import Device, Sent
from clampwright.web.shared import House, house
from clampwright.words import words

LABELS = {"tools": tool_labels, "machines": job_labels, "joints": joint_labels}
Where = Annotated[str, StringConstraints(max_length=200)]


class AskedIn(Sent):
    """Something is to be done now; nothing more is to be told."""

    device: Device


class KeptIn(Sent):
    """Who keeps the newest signed head."""

    where: Where
    device: Device


def safe(request: Request) -> Response:
    """Show the log, its key and the backups."""
    place = house(request)
    folder = Folder(place.place.folder)
    facts = {
        "title": say(words("Log, key and backups")),
        "log": _log(folder) if folder.has_log else None,
        "backups": [_backup(path) for path in reversed(dated(backups_of(place)))],
        "extensions": _extensions(),
    }
    return place.pages.answer("safe.html", facts)


def _extensions() -> dict[str, list[str]]:
    found = extensions()
    return {
        "brought": [
            say(
                words(
                    "{what} {name}: package {package} {version}",
                    what=GROUP_WORDS[one.group],
                    name=one.name,
                    package=one.package,
                    version=one.version,
                )
            )
            for one in found.brought
        ],
        "left_out": [say(one.says) for one in found.left_out],
    }


def head_pdf(request: Request) -> Response:
    """Return the newest signed head as a sheet to print and sign by hand."""
    with Store.open(house(request).place.folder, write=False) as store:
        note = signed_head_at(store, store.signed_size())
        time = str(next(one.made for one in store.signed_heads(store.signed_size())
                        if one.note == note))  # fmt: skip
        sheet = head_sheet(note, store.workshop, store.public_key.fingerprint, time)
    headers = {"content-disposition": 'inline; filename="head.pdf"'}
    return Response(sheet_pdf(sheet), media_type="application/pdf", headers=headers)


def post_head(request: Request, sent: AskedIn) -> Response:  # noqa: ARG001 - its form is checked
    """Sign the present head of the log."""
    with house(request).desk.writing() as store:
        note = store.sign_checkpoint()
    return JSONResponse({"head": note}, HTTPStatus.CREATED)


def put_kept(request: Request, entry: Entry, sent: KeptIn) -> Response:
    """Put on the log who keeps the newest signed head."""
    if not sent.where.strip():
        raise Missing(words("say who keeps it, or where"), needed="where")
    with house(request).desk.writing() as store:
        if entry_of(store, entry) is not None:
            return JSONResponse({"entry": entry}, HTTPStatus.OK)
        keep_head(
            store,
            signed_head_at(store, store.signed_size()),
            sent.where.strip(),
            entry_id=entry,
            device_time=sent.device.time,
            device_id=sent.device.id,
        )
    return JSONResponse({"entry": entry}, HTTPStatus.CREATED)


def post_backup(request: Request, sent: AskedIn) -> Response:  # noqa: ARG001 - its form is checked
    """Save the workshop now, beside everything else that goes on."""
    place = house(request)
    target = zip_in(backups_of(place), dt.datetime.now(dt.UTC))
    with Store.open(place.place.folder, write=False) as store:
        made = write_backup(store, place.place.folder, target, now=dt.datetime.now(dt.UTC))
    return JSONResponse({"file": made.file.name, "files": made.files}, HTTPStatus.CREATED)


def labels(request: Request) -> Response:
    """Show what labels there can be."""
    place = house(request)
    outside = place.door.from_outside
    facts = {
        "title": say(words("Labels")),
        "alone": not outside,
        "address": (outside or place.door.addresses)[0].rstrip("/"),
    }
    return place.pages.answer("labels.html", facts)


def labels_sheet(
    request: Request,
    kind: Annotated[list[str] | None, Query()] = None,
    address: Annotated[str, Query(max_length=200)] = "",
) -> Response:
    """Return a sheet of labels."""
    place = house(request).place
    wanted = list(dict.fromkeys(kind or ()))
    odd = [one for one in wanted if one not in LABELS]
    if odd or not wanted:
        raise Refused(words("say what the labels are for: {known}", known=", ".join(LABELS)))
    base = written(address)
    made = [label for one in wanted for label in LABELS[one](place, base)]
    now = dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
    headers = {"content-disposition": 'inline; filename="labels.pdf"'}
    return Response(labels_pdf(made, time=now), media_type="application/pdf", headers=headers)


def backups_of(place: House) -> Path:
    """Return the folder of the backups: the one of the schedule, else one in the workshop's own."""
    return place.backups or place.place.folder / BACKUPS


def _log(folder: Folder) -> dict[str, Any]:
    with Store.open(folder.path, write=False) as store:
        size = store.head()[0]
        kept = [line.body for line in store.of_kind(HEAD_KEPT)]
        return {
            "origin": store.origin,
            "size": size,
            "loose": size - anchored_size(store),
            "signed": store.signed_size(),
            "kept": [_kept(body) for body in reversed(kept)],
            "fingerprint": store.public_key.fingerprint,
            "locked": is_locked(folder.key),
            "changes": len(store.keys().changes),
        }


def _kept(body: Any) -> str:
    size = read_note(body["note"]).checkpoint.head.size
    return say(words("over {size} entries: {where}", size=size, where=body["where"]))


def _backup(path: Path) -> dict[str, str]:
    made = dt.datetime.strptime(path.name, NAMED).replace(tzinfo=dt.UTC)
    size = path.stat().st_size / 1e6
    return {
        "made": f"{made:%Y-%m-%d %H:%M} UTC",
        "size": f"{figure(size, '.1f')} MB",
        "file": str(path),
    }

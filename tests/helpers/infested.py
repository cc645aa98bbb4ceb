"""The invented workshop with other texts in every field that a person fills in."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.bench.people import People
from clampwright.bench.shelf import Draft, put
from clampwright.errors import ClampwrightError
from clampwright.proof.ids import uuid7
from clampwright.store import Store

JOB = "trailer-wheel"
FILE = Path(__file__).with_name("hostile.jsonl")
PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + (8).to_bytes(4, "big") * 2 + bytes(40)
DEVICE = {"id": "device-0123456789ab", "time": "2026-10-05T08:00:00.000Z", "counter": 1}


def hostile() -> list[str]:
    """The kept texts, each of them once."""
    return [json.loads(line)["text"] for line in FILE.read_text("utf-8").splitlines()]


def packed(texts: Sequence[str], longest: int) -> list[str]:
    """Join texts to as few as have room for them all."""
    found = [""]
    for text in texts:
        joined = f"{found[-1]} ¦ {text}" if found[-1] else text
        if len(joined) > longest:
            found.append(text)
        else:
            found[-1] = joined
    return found


def quoted(text: str) -> str:
    """Return a text as TOML writes it, every sign that is not plain by its number."""
    plain = "".join(
        one if " " <= one <= "~" and one not in '"\\' else f"\\U{ord(one):08X}" for one in text
    )
    return f'"{plain}"'


@dataclass
class Infested:
    """What was filled in, and which texts each field refused."""

    place: Workshop
    texts: Sequence[str]
    refused: dict[str, list[str]] = field(default_factory=dict)
    jobs: list[str] = field(default_factory=list)

    def fill(self, client: TestClient) -> None:
        """Put the texts everywhere; what is refused is noted, and nothing may fail."""
        self.files_and_shelf()
        for way, body in self._sent(client):
            answer = client.put(f"{way}/{uuid7()}", json=body)
            assert answer.status_code in {201, 409, 422}, answer.text

    def files_and_shelf(self) -> None:
        """Put them where no server is needed for it."""
        self._jobs()
        self._drawer()
        with Store.open(self.place.folder, create=True) as store:
            self._people(store)
            self._shelf(store)

    def _jobs(self) -> None:
        plain = (self.place.jobs / f"{JOB}.toml").read_text("utf-8")
        for number, text in enumerate(self.texts):
            said = quoted(text)
            changed = plain.replace(f'"{JOB}"', f'"h{number:03}"')
            for old in (
                "Left wheel back on after greasing the hub",
                "Boat trailer, single axle (invented)",
                "Left wheel",
                "Trailer owner's sheet (invented)",
            ):
                changed = changed.replace(f'"{old}"', said)
            (self.place.jobs / f"h{number:03}.toml").write_text(changed, "utf-8")
            self.jobs.append(f"h{number:03}")

    def _drawer(self) -> None:
        rows = [self.place.drawer.read_text("utf-8")]
        for number, text in enumerate(self.texts):
            rows.append(
                f'[[tool]]\nid = "h{number:03}"\ntitle = {quoted(text)}\nnote = {quoted(text)}\n'
                'kind = "bar"\ndrive = "1/2 in"\nlength_mm = 600\n'
            )
        self.place.drawer.write_text("\n".join(rows), "utf-8")

    def _people(self, store: Store) -> None:
        people = People(store, self.place.folder)
        for text in self.texts:
            self._try("person", text, lambda t=text: people.add(t[:60], "mechanic"))

    def _shelf(self, store: Store) -> None:
        for text in self.texts:
            source = {"title": text, "edition": text, "page": text[:200]}
            draft = Draft(text, "Torque the bolts to 20 N·m.", source=source)
            self._try("procedure", text, lambda d=draft: put(store, self.place, d, "A. Fitter"))

    def _try(self, what: str, text: str, act: Any) -> None:
        try:
            act()
        except ClampwrightError:
            self.refused.setdefault(what, []).append(text)

    def _sent(self, client: TestClient) -> list[tuple[str, dict[str, Any]]]:
        device = dict(DEVICE)
        paper = client.post("/api/papers", content=PNG, headers={"x-file-name": "a.png"})
        assert client.post(f"/api/jobs/{JOB}/opening").status_code == 201
        found: list[tuple[str, dict[str, Any]]] = []
        for text in self.texts:
            event = {"event": "dropped", "date": "2026-10-01", "note": text, "device": device}
            restart = {"joint": "wheel", "fastener": 1, "reason": text, "device": device}
            found += [
                ("/api/drawer/tools/click-60/events", event),
                (f"/api/jobs/{JOB}/restarts", restart),
            ]
            if paper.status_code == 201:
                kept = paper.json()["sha256"]
                about = {"joint": "wheel", "sha256": kept, "name": text[:200] or "a", "note": text}
                found.append((f"/api/jobs/{JOB}/papers", {**about, "device": device}))
        return found

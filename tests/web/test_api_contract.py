"""The whole API against its own description: nothing undocumented, no failure, for whoever asks.

The operations come from the application's own OpenAPI, so that a new one is covered by itself; its
requests are made by schemathesis, right ones and wrong ones, and half of them name jobs, tools and
people that there are.
"""

from __future__ import annotations

import datetime as dt
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest
from argon2.profiles import CHEAPEST
from hypothesis import HealthCheck, Phase, given, seed, settings
from hypothesis import strategies as st
from schemathesis import Case, openapi
from schemathesis.core.failures import Failure, FailureGroup
from schemathesis.core.result import Ok
from schemathesis.generation import GenerationMode
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
)
from starlette.testclient import TestClient

from clampwright.bench import sign_in as signing
from clampwright.bench.folder import Workshop
from clampwright.bench.passwords import Hashing
from clampwright.bench.people import People
from clampwright.bench.sign_in import SESSION_COOKIE
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.web.app import App, create_app
from clampwright.work.roles import ROLES

HOST = "127.0.0.1:8123"
OWN = f"http://{HOST}"
JOB = "trailer-wheel"
STRANGER = "stranger"
WHO = (STRANGER, *ROLES)
SENT_ANYWAY = {"user-agent", "cookie", "host", "origin", "content-length"}
"""Headers that belong to the client, not to what is asked."""


class Clock:
    """Moves on with every request, so that nobody waits for having asked too often."""

    def __init__(self) -> None:
        self.now = dt.datetime(2026, 10, 5, 8, tzinfo=dt.UTC)

    def __call__(self) -> dt.datetime:
        return self.now


@dataclass
class Contract:
    """A workshop, who asks there, and what did not hold."""

    place: Workshop
    app: App
    clock: Clock
    people: dict[str, str]
    known: dict[str, list[str]]
    statuses: Counter[int] = field(default_factory=Counter)
    broken: dict[tuple[str, str], str] = field(default_factory=dict)
    clients: dict[str, TestClient] = field(default_factory=dict)

    def client(self, who: str) -> TestClient:
        """A client of somebody who is signed in; a session that ended begins again."""
        found = self.clients.get(who)
        if found is not None and (who == STRANGER or self._is_open(found)):
            return found
        found = TestClient(
            self.app,
            base_url=OWN,
            headers={"origin": OWN},
            raise_server_exceptions=False,
            follow_redirects=False,
        )
        if who != STRANGER:
            with Store.open(self.place.folder, clock=self.clock) as store:
                person = store.people.get(self.people[who])
                assert person is not None
                opened = signing.begin(store, person, "password", None)
            found.cookies.set(SESSION_COOKIE, opened.token)
        self.clients[who] = found
        return found

    def _is_open(self, client: TestClient) -> bool:
        return bool(client.get("/api/session").json()["state"] == "open")

    def ask(self, case: Case[Any], who: str) -> None:
        """Send one request, and note what its description does not say of the answer."""
        self.clock.now += dt.timedelta(seconds=5)
        sent = case.as_transport_kwargs(base_url=OWN)
        headers = {
            name: value
            for name, value in (sent.get("headers") or {}).items()
            if name.lower() not in SENT_ANYWAY
        }
        body = sent.get("data")
        answer = self.client(who).request(
            sent["method"],
            sent["url"],
            params=sent.get("params"),
            json=sent.get("json"),
            content=body if isinstance(body, str | bytes) else None,
            headers=headers,
        )
        self.statuses[int(answer.status_code)] += 1
        said = f"{who}: {sent['url']} {sent.get('params')} {sent.get('json')} -> {answer.text}"
        if str(int(answer.status_code)) not in case.operation.definition.raw["responses"]:
            key = (case.operation.label, f"{int(answer.status_code)} is not in its description")
            self.broken.setdefault(key, said)
            return
        try:
            case.validate_response(
                answer, checks=[response_schema_conformance, content_type_conformance]
            )
        except (Failure, FailureGroup) as error:
            self.broken.setdefault((case.operation.label, str(error)), said)

    def exercise(self, examples: int) -> None:
        """Draw so many requests for each operation, each by somebody."""
        for found in openapi.from_dict(self.app.openapi()).get_all_operations():
            assert isinstance(found, Ok), found
            self._one(found.ok(), examples)

    def _one(self, operation: Any, examples: int) -> None:
        modes = [
            operation.as_strategy(generation_mode=mode)
            for mode in (GenerationMode.POSITIVE, GenerationMode.NEGATIVE)
        ]

        @seed(20260101)
        @settings(
            max_examples=examples,
            deadline=None,
            database=None,
            suppress_health_check=list(HealthCheck),
            phases=(Phase.generate,),
        )
        @given(data=st.data())
        def drawn(data: st.DataObject) -> None:
            case = data.draw(st.one_of(modes))
            for name, there in self.known.items():
                if name in (case.path_parameters or {}) and data.draw(st.booleans()):
                    case.path_parameters[name] = data.draw(st.sampled_from(there))
            self.ask(case, data.draw(st.sampled_from(WHO)))

        drawn()


@pytest.fixture
def contract(workshop: Workshop, wheel: Any) -> Iterator[Contract]:
    clock = Clock()
    cheap = Hashing(CHEAPEST)
    with Store.open(workshop.folder, create=True, clock=clock) as store:
        people = People(store, workshop.folder, cheap)
        ids = {
            role: people.add(f"A {role}", role, password="four plain words here").id  # noqa: S106 - invented
            for role in ROLES
        }
        spare = people.add("A spare one", "apprentice", pin="2741").id
    app = create_app(
        workshop.folder, hosts=[HOST], clock=clock, patience=0.2, sign_in=True, hashing=cheap
    )
    pull = str(uuid7())
    known = {"job": [JOB, "propeller-coupling"], "tool": ["click-60", "electronic-200"],
             "person": [spare], "entry": [pull]}  # fmt: skip
    found = Contract(workshop, app, clock, ids, known)
    responsible = found.client("responsible")
    assert responsible.post(f"/api/jobs/{JOB}/opening").status_code == 201
    sent = wheel.click(1)
    sent["device"]["time"] = "2026-10-05T08:00:00.000Z"
    assert wheel.put(responsible, pull, sent).status_code == 201
    yield found
    for client in found.clients.values():
        client.close()


def test_every_answer_is_in_the_description(contract: Contract) -> None:
    contract.exercise(2)
    assert not contract.broken, "\n".join(f"{k}: {v[:600]}" for k, v in contract.broken.items())
    assert contract.statuses.total() > 130
    assert {200, 401, 404, 422} <= contract.statuses.keys()


@pytest.mark.soak
def test_many_requests(contract: Contract) -> None:
    """Prints how many, for the kept table of counts."""
    contract.exercise(60)
    told = ", ".join(f"{status}: {n}" for status, n in sorted(contract.statuses.items()))
    sys.stdout.write(f"\nrequests: {contract.statuses.total()} ({told})\n")
    assert not contract.broken, "\n".join(f"{k}: {v[:600]}" for k, v in contract.broken.items())

"""Every answer of the API is described, and what the hook of all tests would say of a wrong one."""

from __future__ import annotations

import json

import answers_held
import jsonschema_rs
from starlette.testclient import TestClient

from clampwright.web.access import rules
from clampwright.web.gives import GIVES, Media, answer_schemas
from clampwright.web.routes import WAYS
from clampwright.work.roles import acts


def test_every_address_says_what_it_answers() -> None:
    assert set(GIVES) == {f"{way.method} {way.path}" for way in WAYS if way.kind == "api"}
    assert all(GIVES.values())


def test_an_act_that_is_signed_may_be_held_open() -> None:
    signed = {
        f"{method} {path}"
        for (method, path), rule in rules().items()
        if rule.act in acts() and acts()[rule.act].signs and rule.late and "{job}" in path
    }
    assert {way for way, by_status in GIVES.items() if 202 in by_status} - {
        "POST /api/jobs/{job}/device-pulls",
        "POST /api/jobs/{job}/simulated",
    } == signed


def test_answers_are_closed_and_said_in_words() -> None:
    by_answer, components = answer_schemas()
    for name, one in components.items():
        jsonschema_rs.meta.validate(one)
        assert one["description"], name
        assert one["additionalProperties"] is False, name
        assert one.get("required"), name
    shaped = [one for ways in GIVES.values() for one in ways.values() if not isinstance(one, Media)]
    assert len(by_answer) >= len(shaped)


def test_every_component_is_used_and_there_once(client: TestClient) -> None:
    api = client.get("/api/openapi.json").json()
    text = json.dumps(api)
    for name in api["components"]["schemas"]:
        assert f'"#/components/schemas/{name}"' in text, name
    for path, ways in api["paths"].items():
        for method, way in ways.items():
            given = {int(one) for one in way["responses"] if one < "3"}
            assert given == set(GIVES[f"{method.upper()} {path}"]), path


def test_the_hook_finds_a_wrong_answer() -> None:
    way = "GET /api/machines"
    right = {"machines": [{"machine": "m", "jobs": [], "last": "2026-01-05"}]}
    assert answers_held.problem_of(way, 200, json.dumps(right).encode()) == ""
    for wrong in ({}, {"machines": [], "more": 1}, {"machines": [{"machine": "m", "jobs": []}]}):
        assert answers_held.problem_of(way, 200, json.dumps(wrong).encode())
    assert "is not in" in answers_held.problem_of(way, 201, b"{}")

"""Pages of relations: every one can be found, filled in and computed, without script."""

from __future__ import annotations

import re
from html import unescape
from typing import Any
from urllib.parse import urlencode

import pytest
from playwright.sync_api import Page, expect
from starlette.testclient import TestClient

from clampwright.formula import Relation, relations
from clampwright.formula.calculation import calculate
from clampwright.formula.values import value_text

LONG = "/formulas/torque_from_clamp_long_form"
ASKED = {
    "clamp": "25 kN", "mu_thread": "0,12", "mu_bearing": "0.10", "part.thread": "M10",
    "part.bolt": "ISO 4014", "part.hole_series": "medium",
}  # fmt: skip


def get(client: TestClient, path: str, **asked: str) -> Any:
    return client.get(f"{path}?{urlencode(asked)}" if asked else path)


def text_of(page: str) -> str:
    """What stands on a page, without its tags."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def test_the_list_names_every_relation_and_a_word_finds_its_own(onlooker: TestClient) -> None:
    whole = onlooker.get("/formulas").text
    assert all(f'href="/formulas/{one.name}"' in whole for one in relations())
    found = get(onlooker, "/formulas", about="stripping").text
    assert "/formulas/stripping_loads" in found
    assert "/formulas/clamp_rate" not in found
    none = get(onlooker, "/formulas", about="<script>x")
    assert none.status_code == 200
    assert "0 relations" in none.text
    assert "<script>x" not in none.text


def test_the_footer_of_the_jobs_leads_there(onlooker: TestClient) -> None:
    assert 'href="/formulas"' in onlooker.get("/").text


@pytest.mark.parametrize("one", relations(), ids=lambda one: one.name)
@pytest.mark.no_cover
def test_every_relation_computes_its_example_on_its_page(
    onlooker: TestClient, one: Relation
) -> None:
    page = onlooker.get(f"/formulas/{one.name}").text
    link = re.search(r'href="(/formulas/[^"?]+\?[^"]+)"', page)
    assert link is not None
    answer = onlooker.get(unescape(link[1]))
    assert answer.status_code == 200
    done = calculate(one, one.example.given, decimal=".")
    said = text_of(answer.text)
    for out in one.outputs:
        assert value_text(done.results[out.name], out.unit) in said
    assert one.source in said
    assert "<math" in answer.text


def test_values_in_workshop_units_named_parts_and_a_result_in_another_unit(
    onlooker: TestClient,
) -> None:
    """F 25 kN, M10, 0.12 and 0.10: 37.6 N·m, 27.7 ft·lbf (tests/test_formula.py has its source)."""
    answer = get(onlooker, LONG, **ASKED, **{"unit.torque": "ft-lb"})
    said = text_of(answer.text)
    assert answer.status_code == 200
    assert "27.747" in said
    assert "37.62" in said
    assert 'value="0,12"' in answer.text  # what was typed stays in its field
    assert "−10 % +10 %" in said
    assert re.search(r"F Clamp load[^%]*−10\.0 % \+10\.0 %", said)
    assert "Other relations for the same" in said


@pytest.mark.parametrize(("more", "said"), [
    ({"clamp": "25 bananas"}, "bananas"),
    ({"clamp": "-5 kN"}, "clamp"),
    ({"mu_thread": "1,234"}, "may be"),
    ({"mu_thread": "7"}, "mu_thread"),
    ({"mu_thread": ""}, "needs also: mu_thread"),
    ({"part.thread": "M9999"}, "M9999"),
    ({"part.thread": ""}, "need a thread"),
    ({"unit.torque": "kN"}, "kN"),
    ({"clamp": "<b>x</b>"}, "<b>x</b>"),
    ({"clamp": "1" * 5000}, ""),
])  # fmt: skip
def test_an_error_is_a_sentence_above_the_fields_which_keep_what_was_typed(
    onlooker: TestClient, more: dict[str, str], said: str
) -> None:
    answer = get(onlooker, LONG, **{**ASKED, **more})
    assert answer.status_code == 422
    alert = re.search(r'role="alert">(.*?)</div>', answer.text, re.DOTALL)
    assert alert is not None
    assert said in text_of(alert[1])
    assert "<b>x" not in answer.text
    assert 'value="ISO 4014"' in answer.text


def test_a_number_that_can_be_read_twice_is_settled_by_the_decimal_mark(
    onlooker: TestClient,
) -> None:
    pair, asked = "/formulas/clamp_from_torque_pair", {"torque_off": "25.6 N·m", "P": "1.5 mm"}
    asked["torque_on"] = "37.620 N·m"
    assert get(onlooker, pair, **asked).status_code == 422
    assert get(onlooker, pair, **asked, **{"decimal.mark": "."}).status_code == 200
    comma = get(onlooker, pair, **asked, **{"decimal.mark": ","})
    assert "37620" in text_of(comma.text)


def test_an_empty_form_computes_nothing_and_complains_of_nothing(onlooker: TestClient) -> None:
    fields = dict.fromkeys([*ASKED, "unit.torque"], "")
    answer = get(onlooker, LONG, **fields)
    assert answer.status_code == 200
    assert 'role="alert"' not in answer.text
    assert 'id="result"' not in answer.text


def test_a_name_that_is_none_is_not_found_and_the_near_one_is_told(onlooker: TestClient) -> None:
    answer = onlooker.get("/formulas/torque_from_clamp_long")
    assert answer.status_code == 404
    assert "torque_from_clamp_long_form" in answer.text
    assert onlooker.get("/formulas/" + "x" * 300).status_code == 422


def test_uncertain_inputs_give_a_band(onlooker: TestClient) -> None:
    asked = ASKED | {"u.clamp": "3 %", "u.mu_thread": "15 %", "u.mu_bearing": "0.018",
                     "u.together": "mu_th,mu_b=0.9"}  # fmt: skip
    page = get(onlooker, LONG, **asked)
    said = text_of(page.text)
    assert page.status_code == 200
    assert "Band, 5 to 95 %" in said
    assert "known twice as well" in said
    assert 'value="mu_th,mu_b=0.9"' in page.text
    wrong = get(onlooker, LONG, **(asked | {"u.mu_thread": "90 %"}))
    assert wrong.status_code == 422
    assert "more than half of its value" in text_of(wrong.text)
    assert "Band, 5 to 95 %" not in text_of(get(onlooker, LONG, **ASKED).text)


def test_by_keyboard_without_script(browser: Any, nearby: Any) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page: Page = context.new_page()
    page.goto(f"{nearby.address}/formulas")
    page.get_by_label("A word, such as torque").press_sequentially("nut factor")
    page.keyboard.press("Enter")
    page.get_by_role("link", name="Tightening torque from clamp load, nut factor").focus()
    page.keyboard.press("Enter")
    for label, value in (
        ("Clamp load", "25 kN"),
        ("Nominal diameter", "10 mm"),
        ("Nut factor", "0.2"),
    ):
        page.locator(".fill-in").get_by_label(label).first.focus()
        page.keyboard.type(value)
    page.keyboard.press("Enter")
    expect(page.locator(".results")).to_contain_text("50 N·m")
    context.close()

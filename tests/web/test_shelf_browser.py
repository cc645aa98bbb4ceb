"""A page from a manual, pasted on a phone: seen, settled with a few touches, begun at the bench."""

from __future__ import annotations

import re
from typing import Any

import pytest
from looked_over import clean, in_frames
from playwright.sync_api import Page, expect

from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.shelf import Draft, put, shelf_in
from clampwright.procedure.marked import visible
from clampwright.work.shelf import Version

PAGE = """Gauge cover (invented). Oil the threads and the underside of the heads.
1) Tighten the 4 bolts M6 x 20 crosswise to 20 lbs.
2) Then turn 30°.
"""
PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + (8).to_bytes(4, "big") * 2 + bytes(40)


def paste(page: Page, address: str, text: str = PAGE) -> None:
    page.goto(f"{address}/procedures")
    page.get_by_role("link", name="New procedure").tap()
    page.wait_for_url("**/procedures/new")  # loaded: the script is there
    page.get_by_label("The procedure as it is printed").fill(text)
    page.get_by_role("button", name="Read it").tap()
    page.locator("#reading .marked").wait_for()


def tell_fastener(page: Page) -> None:
    page.get_by_label("Thread, such as M10").fill("M6")
    page.get_by_label("Strength class").select_option("8.8")
    page.get_by_label("Head or nut").select_option("ISO 4014/4017")
    page.get_by_label("Threads and faces are").select_option("oiled")


def keep(page: Page, title: str = "Gauge cover") -> None:
    page.get_by_label("What it is for").fill(title)
    page.get_by_label("Taken from: manual, sheet or label").fill("Leaflet (invented)")
    page.get_by_label("Your name").fill("A. Fitter")


def to_the_bench(page: Page, job: str) -> None:
    """What is to be settled or known first is shown before the bench, where there is something."""
    page.get_by_role("link", name="To the bench").or_(page.locator("bench-page")).first.wait_for()
    if not page.url.endswith("/pull"):
        page.get_by_role("link", name="To the bench").tap()
    page.wait_for_url(f"**/jobs/{job}/pull")
    page.wait_for_selector("bench-page:is([data-mode=pull], [data-mode=before])")


def shelved(place: Workshop, text: str = "Tighten to 30 Nm", **more: Any) -> Version:
    draft = Draft("Pump cover", text, source={"title": "Leaflet (invented)"}, **more)
    with open_store(place, create=True) as store:
        return put(store, place, draft, "A. Fitter")


def test_paste_settle_start_wholly_on_a_phone(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    page.goto(f"{nearby.address}/procedures/new")
    page.get_by_label("The procedure as it is printed").fill(PAGE)
    page.get_by_text("The fastener, if you know it").tap()
    tell_fastener(page)
    page.get_by_role("button", name="Read it").tap()
    # every figure is marked, and what each became is told
    marks = page.locator("#reading .marked .piece")
    expect(marks.filter(has_text="20 lbs")).to_have_class(re.compile("is-asked"))
    expect(marks.filter(has_text="30°")).to_have_class(re.compile("is-used"))
    expect(marks.filter(has_text="M6")).to_have_class(re.compile("is-other"))
    # the question: both answers with what they would do, none chosen, nothing to keep yet
    answers = page.locator("#reading .answer")
    expect(answers).to_have_count(2)
    assert answers.nth(0).inner_text().startswith("torque 20 ft·lbf")
    expect(answers.nth(0)).to_contain_text("yields")
    expect(answers.nth(1)).to_contain_text("% of proof load")
    expect(page.locator("#keep")).to_be_hidden()
    for answer in answers.all():
        box = answer.bounding_box()
        assert box is not None
        assert box["height"] >= 64
    answers.nth(1).tap()
    expect(page.locator("#reading .steps li").first).to_contain_text("torque 20 in·lbf")
    expect(page.locator("#reading")).to_contain_text("You chose: torque 20 in·lbf")
    keep(page)
    page.locator("#file").set_input_files(
        {"name": "page.png", "mimeType": "image/png", "buffer": PNG}
    )
    page.get_by_text("page.png is kept.").wait_for()
    page.get_by_role("button", name="Put it on the shelf").tap()
    page.wait_for_url("**/procedures/gauge-cover#use")
    version = shelf_in(workshop.folder).version("gauge-cover", 1)
    assert version.choice == 2
    assert version.content["choice"]["readings"][0][0].startswith("torque 20 ft·lbf")
    assert [one.name for one in version.attached] == ["page.png"]
    # the job: few fields, the fastener is remembered
    use = page.locator("#use-form")
    use.get_by_role("textbox", name="Machine").fill("Bench compressor (invented)")
    use.get_by_role("radio", name="in a circle").check()
    use.get_by_label("How many").fill("4")
    use.get_by_label("Pitch circle, mm").fill("60,5")
    expect(use.get_by_label("Thread, such as M10")).to_have_value("M6")
    use.get_by_role("radio", name="it is an annoyance").check()
    use.get_by_role("button", name="Begin").tap()
    to_the_bench(page, "gauge-cover")
    expect(page.locator("bench-page")).to_contain_text("20 in·lbf")
    with open_store(workshop, write=False) as store:
        (opened,) = store.entries(job="gauge-cover")
    (pinned,) = opened["body"]["shelf"]
    assert pinned["sha256"] == version.sha256
    assert pinned["content"]["choice"]["chosen"] == 2


def test_a_job_file_with_an_open_question_is_settled_and_begun(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    source = (workshop.jobs / "trailer-wheel.toml").read_text("utf-8")
    text = source.replace('id = "trailer-wheel"', 'id = "asks"', 1).replace("45 N·m", "45 lbs", 1)
    (workshop.jobs / "asks.toml").write_text(text, "utf-8")
    page: Page = handset.page
    page.goto(nearby.address)
    page.get_by_role("link", name=re.compile("^Settle it first")).tap()
    page.locator(".answer").first.wait_for()
    clean(page, "a job asks")
    expect(page.locator("#settle")).to_be_hidden()
    expect(page.locator(".answer").first).to_contain_text("45 ft·lbf")
    page.locator(".answer").first.tap()
    page.get_by_label("Your name").fill("A. Fitter")
    page.get_by_role("button", name="Begin this job").tap()
    to_the_bench(page, "asks")
    expect(page.locator("bench-page")).to_contain_text("45 ft·lbf")
    with open_store(workshop, write=False) as store:
        (opened,) = store.entries(job="asks")
    (settled,) = opened["body"]["settled"]
    assert settled["chosen"] == 1
    assert len(settled["readings"]) == 2
    assert settled["by"].startswith("person-")
    page.goto(f"{nearby.address}/jobs/asks")
    page.get_by_text("Procedure as written").tap()
    expect(page.locator("main")).to_contain_text(
        "Reading 1 (chosen by A. Fitter): torque 45 ft·lbf"
    )


def test_two_questions_are_asked_one_after_the_other_and_can_be_asked_again(
    handset: Any, nearby: Any
) -> None:
    page: Page = handset.page
    paste(page, nearby.address, "Torque to 25 lbs. Then 40 lbs")
    page.locator(".answer").nth(1).tap()
    expect(page.get_by_role("heading", name="Step 2: which one is meant?")).to_be_visible()
    page.locator(".answer").nth(0).tap()
    expect(page.locator("#reading .steps li")).to_have_text(
        ["torque 25 in·lbf", "torque 40 ft·lbf"]
    )
    expect(page.locator("#keep")).to_be_visible()
    page.get_by_role("button", name="Choose again").first.tap()
    expect(page.locator("#keep")).to_be_hidden()
    page.locator(".answer").nth(0).tap()
    page.locator(".answer").nth(0).tap()
    expect(page.locator("#reading .steps li")).to_have_text(
        ["torque 25 ft·lbf", "torque 40 ft·lbf"]
    )


def test_a_changed_text_must_be_read_again(handset: Any, nearby: Any) -> None:
    page: Page = handset.page
    paste(page, nearby.address, "Tighten to 30 Nm")
    expect(page.locator("#keep")).to_be_visible()
    page.get_by_label("The procedure as it is printed").fill("Tighten to 3 Nm")
    expect(page.locator("#keep")).to_be_hidden()
    expect(page.locator("#reading")).to_be_hidden()


def test_what_was_typed_survives_a_reload(handset: Any, nearby: Any) -> None:
    page: Page = handset.page
    paste(page, nearby.address, "Tighten to 30 Nm")
    keep(page)
    page.reload()
    expect(page.get_by_label("The procedure as it is printed")).to_have_value("Tighten to 30 Nm")
    page.get_by_role("button", name="Read it").tap()
    expect(page.get_by_label("What it is for")).to_have_value("Gauge cover")
    expect(page.get_by_label("Your name")).to_have_value("A. Fitter")


HOSTILE = '<img src=x onerror="alert(1)"><script>alert(2)</script> 30 Nm \u202e\u0000{{7*7}}'


def test_hostile_text_is_shown_as_text(handset: Any, nearby: Any, workshop: Workshop) -> None:
    page: Page = handset.page
    page.on("dialog", lambda _dialog: pytest.fail("something was run"))
    paste(page, nearby.address, HOSTILE)
    plain = page.locator("#reading .marked").evaluate(
        """(place) => {
          const copy = place.cloneNode(true);
          for (const tag of copy.querySelectorAll(".tag")) tag.remove();
          return copy.textContent;
        }"""
    )
    assert plain == visible(HOSTILE)
    assert page.locator("#reading img, #reading script").count() == 0
    expect(page.locator("#keep")).to_be_hidden()
    assert not (workshop.folder / "workshop.sqlite").exists()


def test_a_megabyte_is_refused_in_words(handset: Any, nearby: Any) -> None:
    page: Page = handset.page
    page.goto(f"{nearby.address}/procedures/new")
    page.evaluate("document.getElementById('text').value = 'Tighten to 30 Nm. '.repeat(60000)")
    page.get_by_role("button", name="Read it").tap()
    expect(page.locator("#notice")).to_contain_text("at most 30000 are taken")


def test_a_file_that_is_none_is_refused_in_words(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    paste(page, nearby.address, "Tighten to 30 Nm")
    page.locator("#file").set_input_files(
        {"name": "photo.png", "mimeType": "image/png", "buffer": b"<svg onload=alert(1)>"}
    )
    expect(page.locator("#notice")).to_contain_text("whatever its name says")
    assert not workshop.papers.folder.exists()


def test_the_second_reader_is_another_person(handset: Any, nearby: Any, workshop: Workshop) -> None:
    shelved(workshop)
    page: Page = handset.page
    page.goto(f"{nearby.address}/procedures/pump-cover")
    form = page.locator("#confirm-form")
    form.get_by_label("Your name").fill("a. fitter")
    form.get_by_role("button").tap()
    expect(page.locator("#notice")).to_contain_text("another person")
    form.get_by_label("Your name").fill("B. Reader")
    form.get_by_role("button").tap()
    expect(page.locator("main")).to_contain_text("Compared with its source by B. Reader")


def test_a_new_version_and_what_changed(handset: Any, nearby: Any, workshop: Workshop) -> None:
    shelved(workshop)
    page: Page = handset.page
    page.goto(f"{nearby.address}/procedures/pump-cover")
    page.get_by_role("link", name="Make a new version").tap()
    page.get_by_label("The procedure as it is printed").fill("Tighten to 32 Nm")
    page.get_by_role("button", name="Read it").tap()
    expect(page.get_by_label("Taken from")).to_have_value("Leaflet (invented)")
    page.get_by_label("Your name").fill("A. Fitter")
    page.get_by_role("button", name="Put it on the shelf").tap()
    page.wait_for_url("**/procedures/pump-cover#use")
    expect(page.get_by_role("heading", name="What changed")).to_be_visible()
    expect(page.locator(".difference").first.locator(".gone")).to_contain_text("torque 30 N·m")
    expect(page.locator(".difference").first.locator(".added")).to_contain_text("torque 32 N·m")
    page.get_by_role("link", name="Version 1").tap()
    expect(page.locator(".notice").first).to_contain_text("There is a newer version.")


def test_every_page_of_the_shelf_is_clean(handset: Any, nearby: Any, workshop: Workshop) -> None:
    first = shelved(workshop, "Torque to 20 lbs.", choice=1)
    shelved(workshop, "Torque to 25 in-lb.", procedure=first.procedure)
    page: Page = handset.page
    for path in ("", "?find=nothing", "/pump-cover", "/pump-cover?version=1", "/new?of=pump-cover"):
        page.goto(f"{nearby.address}/procedures{path}")
        clean(page, path)
        assert page.evaluate("document.documentElement.scrollWidth") == 390, path
    paste(page, nearby.address)
    clean(page, "a question")
    page.locator(".answer").first.tap()
    clean(page, "settled")
    page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")
    in_frames(page)
    assert page.evaluate("document.documentElement.scrollWidth") == 390


def test_a_text_that_no_choice_can_settle_is_kept_with_its_open_point(
    handset: Any, nearby: Any
) -> None:
    page: Page = handset.page
    paste(page, nearby.address, "Tighten the gauge cover securely.")
    page.get_by_role("button", name="Keep it as text, with its open point").tap()
    expect(page.get_by_text("No job can use it before a new version settles")).to_be_visible()
    keep(page, "Gauge cover, by feel")
    page.get_by_role("button", name="Put it on the shelf").tap()
    page.wait_for_url("**/procedures/gauge-cover-by-feel#use")
    expect(page.get_by_text("Open, so no job can use it")).to_be_visible()
    expect(page.get_by_role("button", name="Begin", exact=True)).to_be_hidden()

"""The page that tries the form of a device's lines."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from clampwright.web.line_pages import EXAMPLE_FORM, EXAMPLE_SAMPLE


def test_the_page_links_to_an_example_that_reads_well(client: TestClient) -> None:
    page = client.get("/lines")
    assert page.status_code == 200
    assert 'href="/lines"' in client.get("/").text
    tried = client.get("/lines", params={"form": EXAMPLE_FORM, "sample": EXAMPLE_SAMPLE})
    assert "4 of 5 lines read" in tried.text
    assert "First line passed over: &#39;device ready&#39;" in tried.text
    assert "<td>5.03</td><td>4.5</td><td>2.1</td>" in tried.text


def test_a_form_may_be_toml(client: TestClient) -> None:
    form = 'rate_hz = 100\n[torque]\nfield = 1\nunit = "ft·lbf"\n[angle]\nfield = 2\n'
    page = client.get("/lines", params={"form": form, "sample": "1 2\n2 3\n"})
    assert "<td>0.01</td><td>2.712</td><td>3</td>" in page.text


@pytest.mark.parametrize(
    ("form", "sample", "says"),
    [
        ("torque 2 N·m; angle 3 deg; time 1 s", "hello\n", "0 of 1 lines could be read"),
        ("what is this", "1 2 3\n", "is not known; expected parts such as"),
        ("", "1 2 3\n", "must say torque"),
        ("torque 2 N·m; angle 3 deg; time 1 s", "", "0 of 0 lines could be read"),
        ("<script>alert(1)</script>", "1", "&lt;script&gt;"),
    ],
)
def test_what_cannot_be_read_is_said(client: TestClient, form: str, sample: str, says: str) -> None:
    page = client.get("/lines", params={"form": form, "sample": sample})
    assert page.status_code == 422
    assert says in page.text
    assert "<script>alert" not in page.text

"""Labels: every square code opens a page that is there."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.bench.labels import job_labels, joint_labels, tool_labels, written
from clampwright.demo.run import build_workshop
from clampwright.errors import Missing, Refused
from clampwright.report.label_sheet import Label, labels_pdf
from clampwright.web.app import create_app

ADDRESS = "http://127.0.0.1:8123"
TIME = "2026-03-01T08:00:00+00:00"


@pytest.fixture
def place(tmp_path: Path) -> Workshop:
    return build_workshop(tmp_path / "yard", replace=False)


@pytest.mark.parametrize("make", [tool_labels, job_labels, joint_labels])
def test_every_label_opens_its_page(
    place: Workshop, make: Callable[[Workshop, str], Iterator[Label]]
) -> None:
    made = list(make(place, ADDRESS))
    assert len(made) >= 5
    assert len({one.id for one in made}) == len(made)
    app = create_app(place.folder, hosts={"127.0.0.1:8123"})
    with TestClient(app, base_url=ADDRESS) as client:
        for one in made:
            assert one.address.startswith(ADDRESS)
            path, _, part = one.address.removeprefix(ADDRESS).partition("#")
            answer = client.get(path, follow_redirects=True)
            assert answer.status_code == 200, one.address
            assert f'id="{part}"' in answer.text or not part


def test_labels_are_set_and_the_same_again(place: Workshop) -> None:
    made = list(tool_labels(place, ADDRESS)) * 4
    pdf = labels_pdf(made, time=TIME, language="en")
    assert pdf.startswith(b"%PDF-")
    assert pdf == labels_pdf(made, time=TIME, language="en")


def test_nothing_to_label_is_said() -> None:
    with pytest.raises(Missing, match="nothing to make a label for"):
        labels_pdf([], time=TIME)


@pytest.mark.parametrize(
    "address", ["", "yard", "ftp://yard", "http://", "http://a?b", "http://a#b"]
)
def test_an_address_that_is_none(address: str) -> None:
    with pytest.raises(Refused, match="is no address of the pages"):
        written(address)
    assert written("https://yard.example:8443/") == "https://yard.example:8443"

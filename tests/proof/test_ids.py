"""Ids rise, whatever the clock does, and have the form of RFC 9562."""

import uuid
from concurrent.futures import ThreadPoolExecutor

from clampwright.proof.ids import IdMaker, is_uuid7, uuid7


def test_form_and_time() -> None:
    made = uuid.UUID(IdMaker(lambda: 1_645_557_742_000)())
    assert made.version == 7
    assert made.variant == uuid.RFC_4122
    # RFC 9562, appendix A.6: Tuesday, February 22, 2022 2:22:22.00 PM GMT-05:00 is 017f22e2-79b0.
    assert str(made).startswith("017f22e2-79b0-7")


def test_the_example_of_the_standard_is_taken() -> None:
    # RFC 9562, appendix A.6, from memory.
    assert is_uuid7("017f22e2-79b0-7cc3-98c4-dc0c0c07398f")


def test_other_versions_and_spellings_are_not_taken() -> None:
    for text in (
        str(uuid.uuid4()),
        "017F22E2-79B0-7CC3-98C4-DC0C0C07398F",
        "017f22e279b07cc398c4dc0c0c07398f",
        "017f22e2-79b0-7cc3-18c4-dc0c0c07398f",
        "017f22e2-79b0-7cc3-98c4-dc0c0c07398f\n",
        "",
    ):
        assert not is_uuid7(text), text


def test_rising_within_one_millisecond_and_past_the_counter() -> None:
    make = IdMaker(lambda: 1000)
    made = [make() for _ in range(10_000)]
    assert made == sorted(set(made))
    assert all(is_uuid7(text) for text in made)


def test_rising_when_the_clock_goes_back() -> None:
    ticks = iter([5000, 4000, 4000, 6000])
    make = IdMaker(lambda: next(ticks))
    made = [make() for _ in range(4)]
    assert made == sorted(set(made))


def test_threads_do_not_share_an_id() -> None:
    with ThreadPoolExecutor(8) as pool:
        made = list(pool.map(lambda _: uuid7(), range(4000)))
    assert len(set(made)) == len(made)

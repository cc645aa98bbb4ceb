"""A key on paper: typed in again, misread, and mistyped."""

import base64
from hashlib import sha256

import pytest

from clampwright.errors import ClampwrightError, Refused
from clampwright.proof.keys import SigningKey
from clampwright.proof.sheet import key_from_rows, rows_of

KEY = SigningKey.from_seed(bytes(range(32)))
ROWS = rows_of(KEY)


def test_a_row_holds_four_bytes_and_their_check() -> None:
    rows = rows_of(KEY)
    assert len(rows) == 8
    for number, row in enumerate(rows):
        part = bytes(range(4 * number, 4 * number + 4))
        check = sha256(bytes([number]) + part).digest()[:1]
        letters = base64.b32encode(part + check).decode()
        assert row == f"{letters[:4]} {letters[4:]}"


@pytest.mark.parametrize(
    "text",
    [
        "\n".join(ROWS),
        "".join(ROWS).replace(" ", ""),
        " - ".join(ROWS).lower(),
        "\r\n".join(ROWS).replace("O", "0").replace("I", "1").replace("B", "8").replace("G", "9"),
    ],
)
def test_a_key_is_made_again_however_its_rows_are_typed(text: str) -> None:
    assert key_from_rows(text).seed == KEY.seed == bytes(range(32))


@pytest.mark.parametrize("number", range(8))
def test_the_row_that_is_mistyped_is_named(number: int) -> None:
    row = ROWS[number]
    for spoilt in (f"{'C' if row[0] != 'C' else 'D'}{row[1:]}", f"!{row[1:]}"):
        rows = [*ROWS[:number], spoilt, *ROWS[number + 1 :]]
        with pytest.raises(Refused) as caught:
            key_from_rows("\n".join(rows))
        assert str(caught.value) == f"row {number + 1} of the sheet is mistyped: {spoilt}"


def test_rows_do_not_change_places() -> None:
    with pytest.raises(Refused, match=r"^row 1 of the sheet is mistyped: "):
        key_from_rows("\n".join([ROWS[1], ROWS[0], *ROWS[2:]]))


@pytest.mark.parametrize(("rows", "letters"), [(ROWS[:7], 56), ([*ROWS, "A"], 65), ([], 0)])
def test_missing_letters_are_counted(rows: list[str], letters: int) -> None:
    with pytest.raises(Refused) as caught:
        key_from_rows("\n".join(rows))
    assert str(caught.value) == f"the sheet has 64 letters in 8 rows; {letters} were given"


def test_far_more_than_a_sheet_is_not_read() -> None:
    with pytest.raises(ClampwrightError, match=r"^sheet"):
        key_from_rows("\ud800" * 3000)

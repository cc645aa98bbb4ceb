"""Hand-written TOML is refused in words that say where, what, and what would be right."""

from __future__ import annotations

import pytest

from clampwright.errors import BadFile
from clampwright.intake import most
from clampwright.tomlfile import FileModel, line_of, read_toml


class Layout(FileModel):
    pattern: str
    count: int = 1


class Part(FileModel):
    name: str
    layout: Layout | None = None
    sizes: dict[str, float] = {}  # noqa: RUF012 - pydantic copies defaults


class Whole(FileModel):
    title: str
    part: tuple[Part, ...] = ()


GOOD = """
title = "a"
text = '''
[[part]]
fake = 1
'''
"""


def refusal(text: str) -> BadFile:
    with pytest.raises(BadFile) as caught:
        read_toml(text.encode(), "job.toml", Whole)
    return caught.value


def test_unknown_key_names_line_and_nearest_key() -> None:
    error = refusal('title = "a"\n\n[[part]]\nnmae = "b"\nname = "c"\n')
    assert error.line == 4
    assert str(error) == "job.toml, line 4: the key 'nmae' is not known here; did you mean name?"


def test_unknown_key_in_the_second_table_of_an_array() -> None:
    error = refusal('title="a"\n[[part]]\nname="b"\n[[part]]\nname="c"\nlayuot={}\n')
    assert (error.line, error.expected) == (6, "layout")


def test_unknown_key_in_an_inline_table() -> None:
    error = refusal('title="a"\n[[part]]\nname="b"\nlayout={pattern="row", cuont=3}\n')
    assert (error.line, error.expected) == (4, "count")


def test_unlike_any_key_lists_all_keys() -> None:
    assert refusal('title="a"\nzzz=1\n').expected == "part, title"


def test_missing_key_is_named() -> None:
    error = refusal('title="a"\n[[part]]\n')
    assert "part.1.name is missing" in str(error)
    assert error.line == 2


def test_wrong_type_and_not_finite() -> None:
    assert "valid integer" in str(
        refusal('title="a"\n[[part]]\nname="b"\n[part.layout]\npattern="x"\ncount="many"\n')
    )
    assert "finite" in str(refusal('title="a"\n[[part]]\nname="b"\nsizes.x=nan\n'))


def test_syntax_error_names_line_and_column() -> None:
    error = refusal('title = "a\n')
    assert (error.line, error.column) == (1, 11)


def test_not_utf8_and_too_large() -> None:
    with pytest.raises(BadFile, match="line 2: this is not UTF-8"):
        read_toml(b"title='a'\n\xff", "job.toml", Whole)
    with pytest.raises(BadFile, match="too large"):
        read_toml(b"#" * (most("toml") + 1), "job.toml", Whole)


def test_multiline_strings_hide_what_looks_like_keys() -> None:
    assert line_of(GOOD, ("fake",)) is None
    assert line_of(GOOD, ("part", 0)) is None


def test_good_file_is_taken() -> None:
    whole = read_toml(b'title="a"\n[[part]]\nname="b"\n', "job.toml", Whole)
    assert whole.part[0].name == "b"

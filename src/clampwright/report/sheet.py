"""One sheet of paper with a square code: recovery sheets, heads of the day, slips, letters.

The code is a QR code (ISO/IEC 18004) and carries the same text as the sheet, so that a camera saves
the typing; the rows are there for the day no camera is at hand.
"""

from __future__ import annotations

import io
import json
from collections.abc import Sequence
from dataclasses import dataclass

from clampwright.errors import Refused
from clampwright.locale import in_its_language, paper_language, say
from clampwright.locale import language as language_of_the_person
from clampwright.report import child
from clampwright.report.glyphs import all_showable
from clampwright.words import Words, words

MAX_CODE = 1_200
"""Characters in a square code that an old phone still reads from paper (tried on screens only)."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """What stands on a sheet.

    Parameters
    ----------
    title : Words
    time : str
        Stands in the file (RFC 3339); the same sheet at the same time is the same bytes.
    paragraphs : sequence of Words
    warning : Words, optional
        In a frame, before all else.
    facts : sequence of tuple of (Words, str)
        Label and value.
    rows : sequence of tuple of (str, str)
        To be copied by hand, in large letters of equal width.
    row_size : float
        Size of their letters, pt.
    code : str
        Text of the square code; empty for none.
    closing : sequence of Words
    sign : sequence of Words
        Lines to sign on, with what belongs there.
    banner : Words, optional
        At the head of the page.
    footer : str
    """

    title: Words
    time: str
    paragraphs: Sequence[Words] = ()
    warning: Words | None = None
    facts: Sequence[tuple[Words, str]] = ()
    rows: Sequence[tuple[str, str]] = ()
    row_size: float = 17
    code: str = ""
    closing: Sequence[Words] = ()
    sign: Sequence[Words] = ()
    banner: Words | None = None
    footer: str = ""


@in_its_language
def sheet_pdf(sheet: Sheet, *, language: str | None = None) -> bytes:
    """Set a sheet.

    Parameters
    ----------
    sheet : Sheet
    language : str, optional
        Of the paper; the person's own if not given.

    Returns
    -------
    bytes
        PDF/A-3b.

    Raises
    ------
    Refused
        When the text of the code is too long, or the limits of time and memory stop it.
    """
    tag = language or language_of_the_person()

    def told(sentence: Words) -> str:
        return say(sentence, tag)

    data = {
        **paper_language(tag),
        "title": told(sheet.title),
        "warning": None if sheet.warning is None else told(sheet.warning),
        "paragraphs": [told(one) for one in sheet.paragraphs],
        "facts": [[told(label), value] for label, value in sheet.facts],
        "rows": [list(row) for row in sheet.rows],
        "row-size": sheet.row_size,
        "code": square_code(sheet.code) if sheet.code else None,
        "code-alt": told(words("square code with the text of this sheet")),
        "closing": [told(one) for one in sheet.closing],
        "sign": [told(one) for one in sheet.sign],
        "banner": None if sheet.banner is None else told(sheet.banner),
        "footer": sheet.footer,
    }
    shown = json.dumps(all_showable(data), ensure_ascii=False)
    return child.run(
        "paper", {"template": "sheet.typ", "inputs": {"data": shown}, "time": sheet.time}
    )


def square_code(text: str, *, sized: bool = True) -> str:
    """Draw a text as a QR code.

    Parameters
    ----------
    text : str
    sized : bool
        Whether the drawing says how large it is, or fills the place it is given.

    Returns
    -------
    str
        SVG, black on white, with the quiet zone around it.

    Raises
    ------
    Refused
        When the text is too long to be read from paper.
    """
    import segno

    if len(text) > MAX_CODE:
        raise Refused(
            words(
                "{count} characters are too many for a square code; at most {limit}",
                count=len(text),
                limit=MAX_CODE,
            )
        )
    out = io.BytesIO()
    code = segno.make_qr(text, error="m")
    code.save(out, kind="svg", scale=4, border=4, light="#fff", xmldecl=False, omitsize=not sized)
    return out.getvalue().decode("utf-8")

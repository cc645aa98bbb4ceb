"""Formulas as plain text, set in type: a small reader of maths text that writes MathML.

The text is what a person would type: ``T = F (P/(2 π) + μ_th d_2/(2 cos 30°)) + T_p``. A product
needs no sign; a stroke divides all that stands before it in the product by the one factor after
it; ``_`` lowers, ``^`` raises (braces hold several letters together), ``√(…)`` is a root, ``|…|``
an absolute value. A comma or semicolon begins another formula on the same line.
"""

from __future__ import annotations

import html
import re
from collections.abc import Callable

from clampwright.errors import ClampwrightError
from clampwright.words import words

NAMESPACE = "http://www.w3.org/1998/Math/MathML"

FUNCTIONS = frozenset({"sin", "cos", "tan", "arctan", "ln", "exp", "min", "max", "kei", "coth"})
OPERATORS = {"+": "+", "-": "−", "−": "−", "±": "±", "=": "=", "≈": "≈", "<": "<", ">": ">",
             "≤": "≤", "≥": "≥", "→": "→", "≠": "≠", "·": "·", "×": "×", "∈": "∈"}  # fmt: skip
APPLIED = "<mo>&#x2061;</mo>"
"""The invisible sign between a function and what it is of."""

SUMS = "ΣΠ∫"
PI, PRIME = "π", "′"

_TOKEN = re.compile(
    r"(?P<space>\s+)|(?P<number>\d+(?:[.]\d+)?)|(?P<word>[^\W\d_]+[′']*)|(?P<sign>.)", re.UNICODE
)


def mathml(text: str) -> str:
    """Return a formula as a MathML element.

    Parameters
    ----------
    text : str
        Plain maths text.

    Returns
    -------
    str

    Raises
    ------
    ClampwrightError
        The text cannot be read as a formula.

    Examples
    --------
    >>> mathml("K = T/d").partition(">")[2]
    '<mrow><mi>K</mi><mo>=</mo><mfrac><mi>T</mi><mi>d</mi></mfrac></mrow></math>'
    """
    reader = _Reader(text)
    inside = reader.line()
    reader.finished()
    return f'<math xmlns="{NAMESPACE}" display="block">{_row(inside)}</math>'


class _Reader:
    """Reads tokens from left to right; every method returns pieces of MathML."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.tokens = [
            (match.lastgroup or "", match[0])
            for match in _TOKEN.finditer(text)
            if match.lastgroup != "space"
        ]
        self.place = 0

    def peek(self) -> str:
        return self.tokens[self.place][1] if self.place < len(self.tokens) else ""

    def kind(self) -> str:
        return self.tokens[self.place][0] if self.place < len(self.tokens) else ""

    def take(self) -> str:
        token = self.peek()
        self.place += 1
        return token

    def expect(self, sign: str) -> None:
        if self.take() != sign:
            raise ClampwrightError(
                words("formula {text!r}: {sign} is missing", text=self.text, sign=sign)
            )

    def finished(self) -> None:
        if self.peek():
            raise ClampwrightError(
                words("formula {text!r}: {sign} does not belong there", text=self.text,
                      sign=self.peek())
            )  # fmt: skip

    def line(self, closing: str = "") -> list[str]:
        """Read operators and products up to a closing sign."""
        found: list[str] = []
        while self.peek() and self.peek() not in closing:
            sign = self.peek()
            if sign in OPERATORS:
                found.append(_operator(OPERATORS[self.take()]))
            elif sign in SUMS:
                found.append(_operator(self.take()))
            elif sign in ",;:":
                self.take()
                found.append(f'<mo separator="true">{sign}</mo><mspace width="0.6em"/>')
            else:
                found.append(self.product(closing))
        return found

    def product(self, closing: str) -> str:
        """Read factors side by side; a stroke puts what came before over the next factor."""
        factors: list[str] = []
        while self.peek() and self.peek() not in closing:
            sign = self.peek()
            if sign == "/" and factors:
                self.take()
                below = [self.factor(bare=True)]
                while below[-1].endswith(APPLIED):  # a function stands there with what it is of
                    below.append(self.factor())
                factors = [f"<mfrac>{_row(_bare(factors))}{_times(below)}</mfrac>"]
            elif sign in OPERATORS or sign in ",;:" or sign in SUMS:
                break
            else:
                factors.append(self.factor())
        return _times(factors)

    def factor(self, *, bare: bool = False) -> str:
        """Read one factor with its index, power and degree sign."""
        found = self.atom(bare=bare)
        low = high = ""
        while self.peek() in ("_", "^"):
            if self.take() == "_":
                low = self.script()
            else:
                high = self.script()
        applied = APPLIED if (low or high) and found.endswith(APPLIED) else ""
        found = found.removesuffix(applied)
        if low and high:
            found = f"<msubsup>{found}{low}{high}</msubsup>"
        elif low:
            found = f"<msub>{found}{low}</msub>"
        elif high:
            found = f"<msup>{found}{high}</msup>"
        found += applied
        while self.peek() in ("°", "%", "!"):
            found = f"<mrow>{found}<mo>{self.take()}</mo></mrow>"
        return found

    def script(self) -> str:
        """Read an index or power: one token, or braces."""
        if self.peek() == "{":
            self.take()
            inside = self.line("}")
            self.expect("}")
            return _row(inside)
        if self.peek() in ("-", "−"):
            self.take()
            return f"<mrow><mo>−</mo>{self.atom(upright=True)}</mrow>"
        return self.atom(upright=True)

    def atom(self, *, bare: bool = False, upright: bool = False) -> str:
        kind, token = self.kind(), self.take()
        if kind == "number":
            return f"<mn>{token}</mn>"
        if kind == "word":
            return self.word(token, upright=upright)
        fences: dict[str, Callable[[], str]] = {
            "(": lambda: self.fenced("(", ")", bare=bare),
            "[": lambda: self.fenced("[", "]", bare=bare),
            "|": lambda: self.fenced("|", "|"),
            "√": self.root,
        }
        if token in fences:
            return fences[token]()
        if token in ("∞", "…"):
            return f"<mi>{token}</mi>"
        raise ClampwrightError(
            words("formula {text!r}: {sign} does not belong there", text=self.text,
                  sign=token or words("the end"))
        )  # fmt: skip

    def word(self, token: str, *, upright: bool) -> str:
        if token in FUNCTIONS and not upright:
            return f"<mi>{token}</mi>{APPLIED}"
        variant = ' mathvariant="normal"' if upright or token == PI else ""
        return f"<mi{variant}>{html.escape(token.replace(chr(39), PRIME))}</mi>"

    def fenced(self, opening: str, closing: str, *, bare: bool = False) -> str:
        inside = self.line(closing)
        self.expect(closing)
        if bare and self.peek() not in ("_", "^"):
            return _row(inside)
        return f"<mrow><mo>{opening}</mo>{''.join(inside)}<mo>{closing}</mo></mrow>"

    def root(self) -> str:
        return f"<msqrt>{self.factor(bare=True)}</msqrt>"


def _operator(sign: str) -> str:
    return f"<mo>{html.escape(sign)}</mo>"


def _bare(factors: list[str]) -> list[str]:
    """Take the parentheses off a numerator that is one parenthesis."""
    if len(factors) != 1:
        return [_times(factors)]
    match = re.fullmatch(r"<mrow><mo>[(\[]</mo>(.*)<mo>[)\]]</mo></mrow>", factors[0])
    whole = match and _balanced(match[1])
    # In a row of its own: a fraction has two parts, however many pieces its numerator has.
    return [f"<mrow>{match[1]}</mrow>"] if match and whole else factors


def _balanced(inside: str) -> bool:
    depth = 0
    for sign in re.findall(r"<mo>([()\[\]])</mo>", inside):
        depth += 1 if sign in "([" else -1
        if depth < 0:
            return False
    return depth == 0


def _times(factors: list[str]) -> str:
    """Write factors side by side with invisible signs of multiplication."""
    found = ""
    for i, factor in enumerate(factors):
        before = factors[i - 1] if i else ""
        joined = not i or before.endswith(APPLIED)
        found += factor if joined else f"<mo>&#x2062;</mo>{factor}"
    return found if len(factors) == 1 else f"<mrow>{found}</mrow>"


def _row(pieces: list[str]) -> str:
    return pieces[0] if len(pieces) == 1 else f"<mrow>{''.join(pieces)}</mrow>"

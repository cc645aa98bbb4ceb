"""Every call of a parser stands in ``readers.csv``: behind a row of the gate, or with a reason."""

from __future__ import annotations

import ast
import csv
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

from fuzzers import FUZZERS

import clampwright
from clampwright.intake import rows

ROOT = Path(clampwright.__file__).parent
TABLE = Path(__file__).with_name("readers.csv")
OWN, GATE = "own", "gate"
PARSERS = frozenset(
    {
        "json.load", "json.loads", "tomllib.load", "tomllib.loads", "csv.reader", "csv.DictReader",
        "csv.read_csv", "zipfile.ZipFile", "tarfile.open", "zlib.decompress", "zlib.decompressobj",
        "gzip.open", "gzip.decompress", "parquet.ParquetFile", "np.load", "np.loadtxt",
        "np.genfromtxt", "pickle.load", "pickle.loads", "wave.open", "etree.fromstring",
        "etree.parse", "base64.b64decode", "base64.b32decode", "base64.urlsafe_b64decode",
        "parse_qs", "parse_qsl", "SimpleCookie", "urlsplit", "urllib.parse.urlsplit",
        "load_der_x509_certificate", "x509.load_der_x509_certificate",
        "x509.load_pem_x509_certificate", "x509.load_pem_x509_certificates",
        "serialization.load_pem_private_key", "serialization.load_der_private_key",
        "serialization.load_pem_public_key", "serialization.load_der_public_key",
        "decode_timestamp_response", "item_at",
    }
)  # fmt: skip


SAID = ("model_validate", "most(", "sized(", "text_of(", "check_lines(", "check_depth(", "json_of(")


@cache
def modules() -> Mapping[str, ast.Module]:
    """The modules that name a parser or the gate; the others need no look."""
    wanted = (*SAID, *(one.rpartition(".")[2] + "(" for one in PARSERS))
    texts = {file: file.read_text("utf-8") for file in sorted(ROOT.rglob("*.py"))}
    return {
        file.relative_to(ROOT).as_posix(): ast.parse(text)
        for file, text in texts.items()
        if any(one in text for one in wanted)
    }


def calls() -> Iterator[tuple[str, str, str]]:
    """Every place in the code where something is parsed: module, function, parser."""
    for module, tree in modules().items():
        yield from _inside(tree, module)


def _inside(node: ast.AST, module: str, function: str = "") -> Iterator[tuple[str, str, str]]:
    for child in ast.iter_child_nodes(node):
        name = function
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            name = f"{function}.{child.name}".lstrip(".")
        if isinstance(child, ast.Call):
            called = ast.unparse(child.func)
            if called in PARSERS or called.endswith((".model_validate", ".model_validate_json")):
                yield module, function, called
        yield from _inside(child, module, name)


def table() -> dict[tuple[str, str, str], dict[str, str]]:
    with TABLE.open(encoding="utf-8", newline="") as file:
        return {(r["module"], r["function"], r["call"]): r for r in csv.DictReader(file)}


def test_every_parser_is_behind_the_gate_or_says_why_not() -> None:
    found, told = set(calls()), table()
    assert not found - told.keys(), f"a new reader: give it a row in intake.csv and {TABLE.name}"
    assert not told.keys() - found, "rows of readers that are gone"
    for row in told.values():
        assert row["reader"] in {OWN, GATE, *rows()}, row
        assert row["reader"] != OWN or row["note"], row


def test_what_the_gate_is_asked_for_stands_in_its_table() -> None:
    named = set()
    for tree in modules().values():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                place = {
                    "most": 0,
                    "sized": 1,
                    "text_of": 1,
                    "check_lines": 1,
                    "check_depth": 1,
                    "json_of": 1,
                }.get(node.func.id)
                if place is not None and len(node.args) > place:
                    one = node.args[place]
                    if isinstance(one, ast.Constant) and isinstance(one.value, str):
                        named.add(one.value)
    assert named <= rows().keys()
    looked_after_elsewhere = {"trace archive", "wrench lines", "server answer"}
    assert rows().keys() - named - looked_after_elsewhere <= {"toml", "form", "cookies", "request"}


def test_every_row_of_the_gate_has_a_fuzzer() -> None:
    assert FUZZERS.keys() == rows().keys()


def test_the_manual_shows_the_table() -> None:
    page = (ROOT.parents[1] / "docs" / "reference" / "limits.md").read_text("utf-8")
    for row in rows().values():
        shown = " | ".join(str(one or "") for one in (row.bytes, row.lines, row.width, row.depth))
        assert f"| {row.reader} | {row.of} | {shown} | {row.why} |" in page

"""A fuzzer for every row of ``intake.csv``: good contents to spoil, and what reads them."""

from __future__ import annotations

import datetime as dt
import io
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import islice
from pathlib import Path

import numpy as np
import pyarrow as pa
from outside import Authority
from pyarrow import parquet as pq
from pydantic import ValidationError

from clampwright.bench.anchoring import Witness
from clampwright.bench.backup import write_backup
from clampwright.bench.device_doctor import of_bytes
from clampwright.bench.device_file import Device
from clampwright.bench.exchange import read_exchange
from clampwright.bench.folder import Workshop
from clampwright.bench.handing import hand_over
from clampwright.bench.logfiles import read_lines as read_log_lines
from clampwright.bench.names import Names
from clampwright.bench.outside import Outside
from clampwright.bench.records import record_of
from clampwright.bench.saved import CHECKSUMS, MANIFEST, Saved
from clampwright.demo.run import build_workshop, run_job
from clampwright.drawer import load_drawer
from clampwright.errors import BadFile, ClampwrightError
from clampwright.intake import answer_of, cookies_of, form_of, json_of
from clampwright.practice.lesson import read_lesson
from clampwright.practice.results import Result, read_results
from clampwright.procedure.reader import read
from clampwright.proof.anchors import read_anchor
from clampwright.proof.certificates import certified
from clampwright.proof.checkpoint import Head
from clampwright.proof.entry import read_entry
from clampwright.proof.handover import read_handover
from clampwright.proof.keys import SigningKey
from clampwright.proof.sheet import key_from_rows, rows_of
from clampwright.proof.strictjson import parse_strict
from clampwright.proof.timestamp import (
    read_chain,
    read_stamp,
    read_stamp_request,
    stamp_request,
)
from clampwright.proof.verification import verify
from clampwright.proof.witness import (
    countersign,
    read_note,
    request_text,
    witness_from,
    witness_line,
)
from clampwright.report.again import attached_record
from clampwright.store import Store
from clampwright.store.databasefile import database_at
from clampwright.store.lock import WriterLock
from clampwright.tomlfile import read_toml
from clampwright.trace.batch import judged_list
from clampwright.trace.files import read_trace
from clampwright.trace.given import given_from_json
from clampwright.trace.line_buffer import LineBuffer
from clampwright.trace.line_form import form_from_text, form_from_toml
from clampwright.trace.line_stream import LineStream
from clampwright.trace.lines import read_lines
from clampwright.trace.model import Trace
from clampwright.trace.parquet_archive import traces_in
from clampwright.trace.writing import write_csv
from clampwright.web.live import messages_in
from clampwright.web.models import AcceptIn, CloseIn, OpenIn, PullIn, RestartIn
from clampwright.web.ways_api import PhoneIn, phone_angle
from clampwright.work.attached import type_of
from clampwright.work.friction_file import load_conditions
from clampwright.work.jobfile import load_job
from clampwright.work.measured_table import read_table
from clampwright.work.picture_size import picture_size
from clampwright.work.plan import plan_job

EXAMPLES = Path(__file__).parents[2] / "examples"
JOB = "trailer-wheel"
KEY = SigningKey.from_seed(bytes(range(32)))
OTHER = SigningKey.from_seed(bytes(range(1, 33)))
HEAD = Head("yard.56475aa7", 7, bytes(32))
NOTE = HEAD.sign(KEY)
FORM = form_from_text("time 1 ms; torque 2 N·m -; angle 3 deg")
TODAY = dt.date(2026, 11, 30)
CHEAP, DEAR, DEAREST = 100_000, 10_000, 1_000
"""How many changes a large run makes, by what one costs."""


@dataclass(frozen=True)
class Fuzzer:
    """What is spoilt, and what must read it: only a `ClampwrightError` may come out."""

    seeds: Callable[[], list[bytes]]
    read: Callable[[bytes], object]
    many: int = CHEAP
    longest: int | None = None
    """Bytes of one content, where more take long although their work grows with their length."""


@cache
def folder() -> Path:
    """A folder for what is read from files; gone with the process that made it."""
    made = tempfile.TemporaryDirectory()
    _KEPT.append(made)
    return Path(made.name)


_KEPT: list[object] = []


@cache
def yard() -> Workshop:
    """The invented workshop with one job done."""
    place = build_workshop(folder() / "yard", replace=False)
    run_job(place, JOB, seed=3, faults=())
    return place


@cache
def authority() -> Authority:
    return Authority(folder() / "authority")


def each(*patterns: str) -> Callable[[], list[bytes]]:
    return lambda: [
        one.read_bytes()
        for pattern in patterns
        for root in (EXAMPLES, yard().folder)
        for one in sorted(root.glob(pattern))
    ]


# ---- what people write


def job(data: bytes) -> object:
    found = load_job(data, "job.toml")
    return plan_job(found, load_drawer(yard().drawer.read_bytes(), "drawer.toml"), today=TODAY)


DEVICE = (
    b'port = "/dev/ttyUSB0"\nspeed = 9600\nlines = "time 1 ms; torque 2 N\xc2\xb7m; angle 3 deg"\n'
)
OUTSIDE = b'[time_stamp]\nurl = "http://stamps.example/"\nchain = "chain.pem"\n'
LINES = b'rate_hz = 100\n[torque]\nfield = 1\nunit = "ft-lb"\n[angle]\nfield = 2\n'
CONDITION = (
    b'[[condition]]\nid = "paste"\ntitle = "Paste"\nthread = [0.1, 0.12]\nhead = [0.1, 0.12]\n'
)


def pages() -> list[bytes]:
    jobs = each("jobs/*.toml")()
    return [b"Tighten the bolts to 45 N\xc2\xb7m, then turn 90 degrees.", *jobs]


# ---- recordings


def pull() -> Trace:
    time = np.arange(0, 1, 0.01)
    return Trace(time, 45 * time, 90 * time)


@cache
def parquet(*, archive: bool) -> bytes:

    one = pull()
    columns = {"time_s": one.time, "torque_Nm": one.torque, "angle_deg": one.angle}
    if archive:
        columns["trace"] = np.array(["a"] * 50 + ["b"] * 50)
    out = io.BytesIO()
    pq.write_table(pa.table(columns), out)
    return out.getvalue()


def as_they_come(data: bytes) -> object:
    stream, buffer = LineStream(FORM), LineBuffer()
    at = [buffer.take(data[i : i + 7]) for i in range(0, len(data), 7)]
    return [stream.take(line) for lines in at for line in lines]


def kept_lines(data: bytes) -> object:
    of_bytes(data, 2.0, FORM, 9600)
    return read_lines(data, FORM)


def not_there(name: str) -> Trace:
    raise BadFile(name, file=name)


def phone(data: bytes) -> object:
    try:
        sent = PhoneIn.model_validate(json_of(data, "phone recording", "request"))
    except ValidationError:  # answered with 422 by the framework
        return None
    return phone_angle(None, sent)  # type: ignore[arg-type] # the request is not looked at


def phone_rows() -> list[bytes]:
    rows = [[i / 100, 0.0, 0.0, 90.0 * (20 < i < 80), 0.0, 0.0, 9.8] for i in range(100)]
    return [f'{{"rows": {rows}}}'.encode()]


def measured(data: bytes) -> object:
    found = read_table(data, "table.csv")
    return [found.number(row, 0) for row in range(min(len(found.rows), 50))]


# ---- proofs


@cache
def record() -> bytes:
    with Store.open(yard().folder) as store:
        return record_of(store, JOB)


@cache
def handed() -> tuple[bytes, ...]:
    with Store.open(yard().folder) as store:
        return (
            hand_over(yard(), store, "job", JOB),
            hand_over(yard(), store, "tool", "click-60"),
        )


def entry_lines() -> list[bytes]:
    with Store.open(yard().folder, write=False) as store:
        return list(islice(store.raw_entries(), 4))


def entry(data: bytes) -> object:
    parse_strict(data, exact=False)
    return read_entry(data, 0)


def heads() -> list[bytes]:
    signed = countersign(HEAD, "neighbour", OTHER, 1).line
    return [NOTE.encode(), (NOTE + signed).encode(), request_text(0, [], NOTE).encode()]


def head(data: bytes) -> object:
    read_anchor(data, "head")
    return read_note(data.decode("utf-8", "replace"))


def witness(data: bytes) -> object:
    return witness_from(data.decode("utf-8", "replace"))


def any_stamp(data: bytes) -> object:
    try:
        return read_stamp(data, "stamp")
    except ClampwrightError:
        return read_stamp_request(data, "request")


def stamps() -> list[bytes]:
    asked = stamp_request(NOTE).data
    return [asked, authority().answer(asked)]


def key_files() -> list[bytes]:
    return [KEY.to_pem(None), KEY.to_pem("four plain words here"), authority().root]


def key_file(data: bytes) -> object:
    try:
        return SigningKey.from_pem(data, "key", None)
    except ClampwrightError:
        return certified(data, data, "authority")


def paper_around(attached: bytes) -> bytes:
    packed = zlib.compress(attached)
    about = f"<< /Type /EmbeddedFile /Length {len(packed)} /Filter /FlateDecode >>".encode()
    return b"%PDF-1.7\n1 0 obj\n" + about + b"\nstream\n" + packed + b"\nendstream\nendobj\n"


PICTURES = [
    b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + (8).to_bytes(4, "big") * 2 + bytes(40),
    b"\xff\xd8\xff\xe0\0\x10JFIF\0" + bytes(9) + b"\xff\xc0\0\x11\x08\0\x08\0\x08\x03" + bytes(9),
    b"RIFF\x20\0\0\0WEBPVP8X\n\0\0\0\0\0\0\0\x07\0\0\x07\0\0" + bytes(10),
    b"%PDF-1.7\n",
]


def picture(data: bytes) -> object:
    return picture_size(data, type_of(data, "page").type, "page")


# ---- a workshop's own files


@cache
def backup() -> bytes:
    target = folder() / "backup.zip"
    with Store.open(yard().folder, write=False) as store:
        write_backup(store, yard().folder, target, now=dt.datetime(2026, 11, 30, tzinfo=dt.UTC))
    return target.read_bytes()


def saved(data: bytes) -> object:
    file = folder() / "spoilt.zip"
    file.write_bytes(data)
    with Saved.open(file) as found:
        return [sum(map(len, found.pieces(name))) for name in found.names[:4]]


def with_member(name: str) -> Callable[[bytes], object]:
    """Put a member into a backup that is whole otherwise."""

    def reading(data: bytes) -> object:
        out = io.BytesIO()
        with zipfile.ZipFile(io.BytesIO(backup())) as old, zipfile.ZipFile(out, "w") as new:
            for one in old.namelist():
                new.writestr(one, data if one == name else old.read(one)[:2000])
        return saved(out.getvalue())

    return reading


def member(name: str) -> Callable[[], list[bytes]]:
    return lambda: [zipfile.ZipFile(io.BytesIO(backup())).read(name)]


def log_lines(data: bytes) -> object:
    found = read_log_lines(io.BytesIO(data), io.BytesIO(data), "log")
    return [read_entry(one, i) for i, one in enumerate(found.entries)]


def signed_heads() -> list[bytes]:
    with zipfile.ZipFile(io.BytesIO(backup())) as archive:
        return [archive.read("log/heads.jsonl"), archive.read("log/entries.jsonl")]


def names(data: bytes) -> object:
    (folder() / "names.json").write_bytes(data)
    return Names(folder()).in_file()


RESULT = Result(
    id="0197f000-0000-7000-8000-000000000001", learner="7", time="2026-10-05T08:00:00+02:00",
    kind="feel", exercise="feel:25 N·m", answer={"reached": "24"},
    outcome={"aimed_Nm": 25.0, "reached_Nm": 24.0},
)  # fmt: skip


@cache
def a_witness() -> Witness:
    return Witness.make(folder() / "witness", "neighbour")


@cache
def witness_states() -> list[bytes]:
    keeper = a_witness()
    keeper.introduce(KEY.public.line(HEAD.origin))
    keeper.sign(request_text(0, [], NOTE))
    return [one.read_bytes() for one in keeper.folder.glob("*.json")]


def witness_state(data: bytes) -> object:
    witness_states()
    (file,) = a_witness().folder.glob("*.json")
    file.write_bytes(data)
    return a_witness().sign(request_text(0, [], NOTE))


def lock_note(data: bytes) -> object:
    file = folder() / "lock"
    held = WriterLock(file)
    try:
        file.write_bytes(data)
        return WriterLock(file)
    finally:
        held.release()


# ---- what browsers and other programs send

PULL = (
    b'{"joint":"wheel","stage":1,"fastener":1,"tool":"click-60","reading":{"kind":"value",'
    b'"value":"44","unit":"N\xc2\xb7m"},"device":{"id":"device-1","time":"2026-10-05T08:00:00Z"}}'
)


def request(data: bytes) -> object:
    content = json_of(data, "request", "request")
    for model in (PullIn, AcceptIn, RestartIn, CloseIn, OpenIn):
        try:
            model.model_validate(content)
        except ValidationError:  # answered with 422 by the framework
            continue
    return content


def _text(read_one: Callable[[str], object]) -> Callable[[bytes], object]:
    return lambda data: read_one(data.decode("utf-8", "replace"))


FUZZERS: Mapping[str, tuple[Fuzzer, ...]] = {
    "toml": (
        Fuzzer(each("jobs/*.toml", "*/jobs/*.toml"), job, DEAR),
        Fuzzer(each("drawer.toml", "*/drawer.toml"), lambda d: load_drawer(d, "drawer.toml"), DEAR),
        Fuzzer(lambda: [CONDITION], lambda d: load_conditions(d, "friction.toml")),
        Fuzzer(lambda: [DEVICE], lambda d: read_toml(d, "device.toml", Device).form),
        Fuzzer(lambda: [OUTSIDE], lambda d: read_toml(d, "outside.toml", Outside)),
        Fuzzer(each("lessons/*.toml"), lambda d: read_lesson(d, "lesson.toml", key="one"), DEAR),
        Fuzzer(lambda: [LINES], lambda d: form_from_toml(d, "lines.toml")),
    ),
    "trace table": (Fuzzer(lambda: [write_csv(pull())], read_trace),),
    "trace parquet": (Fuzzer(lambda: [parquet(archive=False)], read_trace),),
    "trace archive": (Fuzzer(lambda: [parquet(archive=True)], lambda d: list(traces_in(d)), DEAR),),
    "wrench lines": (Fuzzer(lambda: [b"0 -1.0 2\n5 -2.5 4\n10 -4.0 7\n" * 9], kept_lines),),
    "wrench line": (Fuzzer(lambda: [b"0 -1.0 2\r\n5 -2.5 4\n10 -4.0 7\n"], as_they_come),),
    "wrench message": (
        Fuzzer(lambda: [b'{"torque": 4.5, "angle": 3}\n{"end": true}\n'], _text(messages_in)),
    ),
    "phone recording": (Fuzzer(phone_rows, phone, DEAR),),
    "given": (
        Fuzzer(
            lambda: [b'{"target_torque_Nm": 60, "angle_steps_deg": [90], "nominal": {"K": 0.15}}'],
            lambda d: given_from_json(d, "given.json"),
        ),
    ),
    "list of pulls": (
        Fuzzer(
            lambda: [b'{"id": 1, "trace": "a.csv", "given": {"target_torque_Nm": 60}}\n' * 3],
            lambda d: list(judged_list(d.splitlines(), not_there)),
        ),
    ),
    "list of texts": (
        Fuzzer(
            lambda: [b'{"id": 1, "text": "45 N-m", "locale": "en"}'],
            lambda d: json_of(d, "list of texts", "texts.jsonl"),
        ),
    ),
    "measured table": (Fuzzer(lambda: [b"torque [N.m]; clamp [kN]\n10,5; 7\n20; 14\n"], measured),),
    "entry": (Fuzzer(entry_lines, entry),),
    "record": (Fuzzer(lambda: [record()], verify, DEAR),),
    "hand-over": (Fuzzer(lambda: list(handed()), lambda d: read_handover(d, "handed.json"), DEAR),),
    "exchange": (
        Fuzzer(each("entries-of-a-device.json"), lambda d: read_exchange(d, "entries.json"), DEAR),
        Fuzzer(
            lambda: [b"CWE1 1/2 0a1b2c3d eyJmb3JtYXQi\nCWE1 2/2 0a1b2c3d OiJjbGFtcHdy\n"],
            lambda d: read_exchange(d, "codes.txt"),
        ),
    ),
    "signed head": (
        Fuzzer(heads, head),
        Fuzzer(lambda: [witness_line("neighbour", OTHER.public).encode()], witness),
    ),
    "time stamp": (Fuzzer(stamps, any_stamp, DEAR),),
    "certificates": (Fuzzer(lambda: [authority().root], lambda d: read_chain(d, "chain"), DEAR),),
    "key file": (Fuzzer(key_files, key_file, DEAR),),
    "key sheet": (Fuzzer(lambda: ["\n".join(rows_of(KEY)).encode()], _text(key_from_rows)),),
    "paper": (
        Fuzzer(
            lambda: [paper_around(b'{"a":1}' * 20)], lambda d: verify(attached_record(d, "paper"))
        ),
    ),
    "attached file": (Fuzzer(lambda: PICTURES, picture),),
    "backup": (Fuzzer(lambda: [backup()], saved, DEAREST),),
    "backup listing": (Fuzzer(member(CHECKSUMS), with_member(CHECKSUMS), DEAREST),),
    "backup manifest": (Fuzzer(member(MANIFEST), with_member(MANIFEST), DEAREST),),
    "log lines": (Fuzzer(signed_heads, log_lines, DEAR),),
    "names": (Fuzzer(lambda: [b'{"person-0123456789ab": "A. Fitter"}'], names, DEAR),),
    "practice results": (
        Fuzzer(lambda: [RESULT.line().encode() + b"\n"], lambda d: read_results(d, "class.jsonl")),
    ),
    "witness state": (Fuzzer(witness_states, witness_state, DEAREST),),
    "lock note": (Fuzzer(lambda: [b'{"pid": 7, "since": "2026-10-05"}'], lock_note, DEAR),),
    "procedure text": (Fuzzer(pages, _text(read), DEAREST, 30_000),),
    "database address": (
        Fuzzer(
            lambda: [b"postgresql://role@host:5432/database?sslmode=require"],
            _text(lambda text: database_at(text, "yard")),
        ),
    ),
    "request": (Fuzzer(lambda: [PULL], request),),
    "form": (Fuzzer(lambda: [b"torque=45+N%C2%B7m&thread=M10&learner="], form_of),),
    "cookies": (
        Fuzzer(
            lambda: [b"clampwright-session=abc; clampwright-device=def"],
            lambda d: cookies_of(d.decode("latin-1")),
        ),
    ),
    "server answer": (Fuzzer(lambda: [b'{"next": {"stage": 1}, "error": "x"}'], answer_of),),
}

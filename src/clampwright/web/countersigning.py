"""The workshop as a witness for others: heads come in, a line goes out (C2SP tlog-witness).

Off unless ``outside.toml`` names the witness's folder; then it signs for the logs it was introduced
to, and nobody else.
"""

from __future__ import annotations

from http import HTTPStatus
from pathlib import Path

from fastapi import Request
from fastapi.responses import PlainTextResponse, Response
from starlette.concurrency import run_in_threadpool

from clampwright.bench.anchoring import Witness, WitnessRefusedError
from clampwright.bench.asking import SIZE
from clampwright.bench.outside import outside_of
from clampwright.errors import BadFile
from clampwright.locale import say
from clampwright.proof.witness import Why
from clampwright.web.shared import house
from clampwright.words import words

STATUS: dict[Why, HTTPStatus] = {
    "unknown": HTTPStatus.NOT_FOUND,
    "unsigned": HTTPStatus.FORBIDDEN,
    "impossible": HTTPStatus.BAD_REQUEST,
    "size": HTTPStatus.CONFLICT,
    "changed": HTTPStatus.UNPROCESSABLE_ENTITY,
}
"""What a no is told by."""


async def add_checkpoint(request: Request) -> Response:
    """Countersign the head in a request, if its log grew from the one signed before."""
    folder = house(request).place.folder
    return await run_in_threadpool(_answer, folder, await request.body())


def _answer(folder: Path, body: bytes) -> Response:
    table = outside_of(folder).countersigning
    if table is None:
        sentence = words("this workshop countersigns for nobody")
        return PlainTextResponse(f"{say(sentence)}\n", HTTPStatus.NOT_FOUND)
    witness = Witness(folder / table.folder)
    try:
        return PlainTextResponse(witness.sign(body.decode("utf-8")))
    except (BadFile, UnicodeDecodeError) as error:
        told = say(error.message) if isinstance(error, BadFile) else str(error.reason)
        return PlainTextResponse(f"{told}\n", HTTPStatus.BAD_REQUEST)
    except WitnessRefusedError as refused:
        status = STATUS[refused.why]
        if status == HTTPStatus.CONFLICT:
            return Response(f"{refused.size}\n", status, {"content-type": SIZE})
        return PlainTextResponse(f"{say(refused.message)}\n", status)

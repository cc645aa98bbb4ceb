"""Time stamps over a head (RFC 3161): an authority says that it saw its hash at a time.

What is stamped is the signed head as text, with the log's own signature line and no other, SHA-256.
So anybody can check it without this program: ``openssl ts -verify -data head.txt``. The answer is
verified with the certificates that a person gives, offline; the authority need not exist any more.
"""

from __future__ import annotations

import datetime as dt
import re
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING

from clampwright.errors import BadFile, Refused
from clampwright.intake import most, sized
from clampwright.proof.checkpoint import Checkpoint
from clampwright.proof.der import (
    INTEGER,
    OCTETS,
    SEQUENCE,
    inside,
    item_at,
    with_sorted_certificates,
)
from clampwright.proof.witness import read_note
from clampwright.words import Words, words

if TYPE_CHECKING:
    from cryptography.x509 import Certificate
    from rfc3161_client import TimeStampResponse, TimeStampTokenInfo

MAX_ANSWER = most("time stamp")
"""Bytes of an answer; one with a long chain has some 6,000."""
SHA256_OID = "2.16.840.1.101.3.4.2.1"
GRANTED = frozenset({0, 1})
"""States of an answer that holds a stamp (RFC 3161, 2.4.2)."""
DER = b"\x30"
"""First byte of a request and of an answer."""
_REASON = re.compile(r'Verify error: ([^"]+)"')


@dataclass(frozen=True, slots=True)
class StampRequest:
    """What an authority is asked.

    Parameters
    ----------
    data : bytes
        TimeStampReq, DER.
    imprint : bytes
        SHA-256 of what is to be stamped.
    nonce : int
        A number that the answer must repeat.
    """

    data: bytes
    imprint: bytes
    nonce: int


@dataclass(frozen=True, slots=True)
class TimeStamp:
    """An authority's answer, read but not yet verified.

    Parameters
    ----------
    name : str
        Of its file.
    data : bytes
        TimeStampResp, DER, as it came.
    imprint : bytes
        SHA-256 of what was stamped.
    time : datetime.datetime
        When, as the authority says (UTC).
    accuracy_seconds : float or None
        How far its clock may be off, where it says so.
    nonce : int or None
    policy, serial : str
        Under which rules, and which of its stamps it is.
    signer : str
        Name in the certificate that the answer carries; empty where it carries none.
    """

    name: str
    data: bytes
    imprint: bytes
    time: dt.datetime
    accuracy_seconds: float | None
    nonce: int | None
    policy: str
    serial: str
    signer: str

    def over(self, checkpoint: Checkpoint) -> bool:
        """Say whether it was made over a signed head.

        Parameters
        ----------
        checkpoint : Checkpoint

        Returns
        -------
        bool
        """
        return self.imprint == imprint_of(checkpoint)


def imprint_of(checkpoint: Checkpoint) -> bytes:
    """Return the hash of a signed head that is stamped.

    Parameters
    ----------
    checkpoint : Checkpoint

    Returns
    -------
    bytes
        SHA-256 of its text, with the log's own signature line and no other.
    """
    return sha256(checkpoint.text.encode("utf-8")).digest()


def stamp_request(note: str) -> StampRequest:
    """Build what an authority is asked about a head.

    Parameters
    ----------
    note : str
        A signed head; lines of witnesses are left out.

    Returns
    -------
    StampRequest
    """
    from rfc3161_client import HashAlgorithm, TimestampRequestBuilder

    text = read_note(note).checkpoint.text.encode("utf-8")
    built = TimestampRequestBuilder().data(text).hash_algorithm(HashAlgorithm.SHA256).build()
    return read_stamp_request(built.as_bytes(), "request")


def read_stamp_request(data: bytes, name: str) -> StampRequest:
    """Read a request that was built earlier.

    Parameters
    ----------
    data : bytes
    name : str
        Of its file.

    Returns
    -------
    StampRequest

    Raises
    ------
    BadFile
        When it is no request over SHA-256 with a number to repeat.
    """
    try:
        whole = item_at(data, 0, len(data))
        _version, imprint, *more = inside(data, whole, SEQUENCE)
        _algorithm, octets = inside(data, imprint, SEQUENCE)
        nonces = [one for one in more if one.tag == INTEGER]
        sound = whole.end == len(data) and octets.tag == OCTETS and octets.end - octets.body == 32
    except ValueError:
        sound, nonces = False, []
    if not sound or len(nonces) != 1:
        raise BadFile(
            words("{name} is not a time-stamp request of this program", name=name),
            file=name,
            expected="TimeStampReq in DER (RFC 3161), SHA-256, with a nonce",
        )
    nonce = int.from_bytes(data[nonces[0].body : nonces[0].end], "big")
    return StampRequest(data, data[octets.body : octets.end], nonce)


def read_stamp(data: bytes, name: str) -> TimeStamp:
    """Read an authority's answer.

    Parameters
    ----------
    data : bytes
        TimeStampResp, DER.
    name : str
        Of its file.

    Returns
    -------
    TimeStamp

    Raises
    ------
    BadFile
        When it is damaged, too large, holds no stamp, or one over another kind of hash.
    """
    answer = _answer(data, name)
    info = _info(answer, name)
    if info.message_imprint.hash_algorithm.dotted_string != SHA256_OID:
        raise BadFile(
            words("{name}: the time stamp is not over SHA-256, which was asked for", name=name),
            file=name,
        )
    return TimeStamp(
        name,
        data,
        bytes(info.message_imprint.message),
        info.gen_time.astimezone(dt.UTC),
        _seconds(info.accuracy),
        info.nonce,
        info.policy.dotted_string,
        format(info.serial_number, "x"),
        _signer(answer, name),
    )


def _answer(data: bytes, name: str) -> TimeStampResponse:
    from rfc3161_client import decode_timestamp_response

    try:
        if len(data) > MAX_ANSWER or item_at(data, 0, len(data)).end != len(data):
            raise _unreadable(name)
        return decode_timestamp_response(with_sorted_certificates(data))
    except ValueError as error:
        raise _unreadable(name) from error


def _info(answer: TimeStampResponse, name: str) -> TimeStampTokenInfo:
    if answer.status not in GRANTED:
        why = "; ".join(str(one) for one in answer.status_string) or str(answer.status)
        raise BadFile(
            words("{name}: the authority gave no time stamp ({why})", name=name, why=why),
            file=name,
        )
    try:
        return answer.tst_info
    except ValueError as error:
        raise _unreadable(name) from error


def _unreadable(name: str) -> BadFile:
    return BadFile(
        words("{name} is cut off, damaged or no answer of a time-stamp authority", name=name),
        file=name,
        expected="TimeStampResp in DER (RFC 3161)",
    )


def _seconds(accuracy: object) -> float | None:
    """Return an accuracy in seconds (RFC 3161, 2.4.2), or None where none is stated."""
    if accuracy is None:
        return None
    parts = (("seconds", 1.0), ("millis", 1e-3), ("micros", 1e-6))
    return sum((getattr(accuracy, part) or 0) * weight for part, weight in parts)


def _signer(answer: TimeStampResponse, name: str) -> str:
    from cryptography.x509 import load_der_x509_certificate  # noqa: PLC0415 - start light

    try:
        with _oddity_is_damage():
            signers = {(one.issuer, one.serial_number) for one in answer.signed_data.signer_infos}
            for raw in answer.signed_data.certificates:
                one = load_der_x509_certificate(raw)
                if (one.issuer, one.serial_number) in signers:
                    return one.subject.rfc4514_string()
    except ValueError as error:
        raise _unreadable(name) from error
    return ""


@contextmanager
def _oddity_is_damage() -> Iterator[None]:
    """Take all that the library finds odd in a certificate as damage, what it warns of too."""
    from cryptography import x509  # noqa: PLC0415 - start light

    odd = (x509.InvalidVersion, x509.DuplicateExtension, x509.UnsupportedGeneralNameType)
    with warnings.catch_warnings():
        warnings.simplefilter("error", UserWarning)  # such as a serial number below zero
        try:
            yield
        except (*odd, LookupError, TypeError, UserWarning) as error:
            raise ValueError(str(error)) from error


def read_chain(data: bytes, name: str) -> tuple[Certificate, ...]:
    """Read the certificates that a person trusts: PEM, one or more, or one in DER.

    Parameters
    ----------
    data : bytes
    name : str
        Of the file.

    Returns
    -------
    tuple of Certificate

    Raises
    ------
    BadFile
        When it holds none.
    """
    from cryptography import x509  # noqa: PLC0415 - start light

    sized(data, "certificates", name)
    try:
        if data[:1] == DER:
            return (x509.load_der_x509_certificate(data),)
        return tuple(x509.load_pem_x509_certificates(data))
    except ValueError as error:
        raise BadFile(
            words("{name} holds no certificate", name=name), file=name, expected="PEM or DER"
        ) from error


def stamp_problem(
    stamp: TimeStamp, chain: Sequence[Certificate], request: StampRequest | None = None
) -> Words | None:
    """Say why a time stamp does not hold.

    Parameters
    ----------
    stamp : TimeStamp
    chain : sequence of Certificate
        Those that the person trusts: the authority's root, and what lies between if the answer does
        not carry it. They need to be valid at the time of the stamp, not now.
    request : StampRequest, optional
        What was asked; the answer must be to just that.

    Returns
    -------
    Words or None
        None when it holds.

    Raises
    ------
    Refused
        When no certificate is given.
    """
    from rfc3161_client import VerificationError, VerifierBuilder

    if not chain:
        raise Refused(words("without the authority's certificate a time stamp shows nothing"))
    if request is not None and stamp.imprint != request.imprint:
        return words(
            "{name}: the time stamp is over something else than was asked", name=stamp.name
        )
    if request is not None and stamp.nonce != request.nonce:
        return words(
            "{name}: the time stamp does not repeat the number in the request; it is an answer to "
            "another one, or an old one",
            name=stamp.name,
        )
    verifier = VerifierBuilder(roots=list(chain)).build()
    try:
        with _oddity_is_damage():
            verifier.verify(_answer(stamp.data, stamp.name), stamp.imprint)
    except (VerificationError, ValueError) as error:
        return words(
            "{name}: the time stamp does not hold by the certificates given: {problem}",
            name=stamp.name,
            problem=_told(error),
        )
    return None


def _told(error: Exception) -> str:
    """Return what a person can use of the library's message."""
    found = _REASON.search(str(error))
    return found[1] if found else str(error)

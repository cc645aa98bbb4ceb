"""Signed messages over HTTP: Content-Digest (RFC 9530) and HTTP Message Signatures (RFC 9421).

Only what this project sends and checks: one signature, ``hmac-sha256``, over the method, the
address, the kind of content, its digest and the name of the message.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
from collections.abc import Mapping

COMPONENTS = ("@method", "@target-uri", "content-type", "content-digest", "clampwright-message")
LABEL = "clampwright"


def content_digest(body: bytes) -> str:
    """Return the value of the ``Content-Digest`` field (RFC 9530, section 2).

    Parameters
    ----------
    body : bytes

    Returns
    -------
    str

    Examples
    --------
    The example of RFC 9421, appendix B.2, with SHA-256:

    >>> content_digest(b'{"hello": "world"}')
    'sha-256=:X48E9qOokqqrvdts8nOJRJN3OWDUoyWxBf7kbu9DBPE=:'
    """
    return f"sha-256=:{base64.b64encode(hashlib.sha256(body).digest()).decode()}:"


def signature_base(values: Mapping[str, str], parameters: str) -> bytes:
    """Return what is signed (RFC 9421, section 2.5).

    Parameters
    ----------
    values : mapping of str to str
        Each component in order with its value.
    parameters : str
        The signature's parameters, as in ``Signature-Input`` behind the label.

    Returns
    -------
    bytes
    """
    lines = [f'"{name}": {value}' for name, value in values.items()]
    return "\n".join([*lines, f'"@signature-params": {parameters}']).encode("ascii")


def signed_with(secret: bytes, base: bytes) -> str:
    """Return the signature of a base with ``hmac-sha256`` (RFC 9421, section 3.3.3), as base64.

    Parameters
    ----------
    secret : bytes
    base : bytes

    Returns
    -------
    str
    """
    return base64.b64encode(hmac.new(secret, base, hashlib.sha256).digest()).decode()


def signed_fields(
    secret: bytes, *, key_id: str, url: str, body: bytes, message: str, created: int
) -> dict[str, str]:
    """Return the header fields of a signed POST of JSON.

    Parameters
    ----------
    secret : bytes
        Shared with who receives it.
    key_id : str
        Says which secret it is.
    url : str
        Where it goes, as the receiver was given it.
    body : bytes
    message : str
        Name of the message: the same each time it is sent.
    created : int
        When it is sent, seconds since 1970.

    Returns
    -------
    dict of str to str
    """
    fields = {
        "Content-Type": "application/json",
        "Content-Digest": content_digest(body),
        "Clampwright-Message": message,
    }
    values = {
        "@method": "POST",
        "@target-uri": url,
        **{name.lower(): value for name, value in fields.items()},
    }
    covered = " ".join(f'"{name}"' for name in COMPONENTS)
    parameters = (
        f'({covered});created={created};keyid="{key_id}";alg="hmac-sha256";tag="clampwright"'
    )
    signature = signed_with(secret, signature_base(values, parameters))
    return {
        **fields,
        "Signature-Input": f"{LABEL}={parameters}",
        "Signature": f"{LABEL}=:{signature}:",
    }

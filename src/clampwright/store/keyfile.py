"""The signing key on disk: one file, readable by its owner only, never written over."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO

from clampwright.errors import BadFile, ClampwrightError, Missing, Refused, StoreFull
from clampwright.proof.keys import PublicKey, SigningKey
from clampwright.words import words

if TYPE_CHECKING:
    from clampwright.store.folder import Folder


def write_key(file: Path, key: SigningKey, pass_phrase: str | None = None) -> None:
    """Write a key; durable when this returns.

    Parameters
    ----------
    file : pathlib.Path
        Must not exist.
    key : SigningKey
    pass_phrase : str, optional
        Encrypts the key; without one only the file's permissions protect it.

    Raises
    ------
    Refused
        When the file exists.
    StoreFull
        When it cannot be written.
    """
    part = file.with_name(file.name + ".new")
    try:
        if file.exists():
            raise Refused(words("{file} is there already; a key is never replaced", file=str(file)))
        part.unlink(missing_ok=True)
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as out:
            out.write(key.to_pem(pass_phrase))
            out.flush()
            os.fsync(out.fileno())
        part.rename(file)
        sync_folder(file.parent)
    except OSError as error:
        raise StoreFull(
            words(
                "the key {file} could not be written: {problem}",
                file=str(file),
                problem=str(error.strerror),
            )
        ) from error


def read_key(file: Path, pass_phrase: str | None = None) -> SigningKey:
    """Read a key back.

    Parameters
    ----------
    file : pathlib.Path
    pass_phrase : str, optional

    Returns
    -------
    SigningKey

    Raises
    ------
    Missing
        When there is no file, or it needs a pass phrase.
    Refused
        When a key without pass phrase can be read by others, or the pass phrase is wrong.
    BadFile
        When the file cannot be read or is no key.
    """
    try:
        data = file.read_bytes()
        mode = file.stat().st_mode
    except FileNotFoundError:
        raise Missing(
            words("the signing key {file} is missing", file=str(file)), "signing key"
        ) from None
    except OSError as error:
        raise BadFile(
            words("{file} cannot be read: {problem}", file=str(file), problem=str(error.strerror)),
            file=str(file),
        ) from error
    others = stat.S_IRWXG | stat.S_IRWXO
    if os.name == "posix" and mode & others and b"ENCRYPTED" not in data:
        raise Refused(
            words(
                "the key {file} can be read by others, so it proves nothing; if nobody took it, "
                "set its permissions to 600 (chmod 600)",
                file=str(file),
            )
        )
    return SigningKey.from_pem(data, str(file), pass_phrase)


def is_locked(file: Path) -> bool:
    """Say whether a key file needs a pass phrase; a file that is not there needs none.

    Parameters
    ----------
    file : pathlib.Path

    Returns
    -------
    bool
    """
    try:
        return b"ENCRYPTED" in file.read_bytes()
    except OSError:
        return False


def replace_key(file: Path, key: SigningKey, pass_phrase: str | None) -> None:
    """Write a key, in the place of one that is not in use any more or never was.

    Parameters
    ----------
    file : pathlib.Path
    key : SigningKey
    pass_phrase : str or None

    Raises
    ------
    StoreFull
        When it cannot be written.
    """
    file.unlink(missing_ok=True)
    write_key(file, key, pass_phrase)


def own_key(
    folder: Folder, wanted: PublicKey, workshop: str, pass_phrase: str | None
) -> SigningKey:
    """Read the key that a log is signed with now, and finish a change of key that was cut off.

    Parameters
    ----------
    folder : Folder
    wanted : PublicKey
        The log's present key.
    workshop : str
        For messages.
    pass_phrase : str or None

    Returns
    -------
    SigningKey

    Raises
    ------
    Missing, Refused, BadFile
        As `read_key`; also when it is another key.
    """
    if not folder.next_key.exists():
        return check_own(read_key(folder.key, pass_phrase), wanted, workshop)
    # A change of key was cut off before the log took it, or after. Each file may be locked with a
    # pass phrase of its own: one that cannot be opened is no hindrance where the other is the key.
    problem: ClampwrightError | None = None
    for file in (folder.key, folder.next_key):
        try:
            key = read_key(file, pass_phrase)
        except (Missing, Refused, BadFile) as error:
            problem = problem or error
            continue
        if key.public == wanted:
            if file == folder.next_key:
                file.replace(folder.key)
                sync_folder(folder.path)
            return key
    raise problem or _not_own(wanted, workshop)


def check_own(key: SigningKey, wanted: PublicKey, workshop: str) -> SigningKey:
    """Return a key if it is the log's.

    Parameters
    ----------
    key : SigningKey
    wanted : PublicKey
        The log's present key.
    workshop : str
        For the message.

    Returns
    -------
    SigningKey

    Raises
    ------
    Refused
        When it is another one.
    """
    if key.public != wanted:
        raise _not_own(wanted, workshop)
    return key


def _not_own(wanted: PublicKey, workshop: str) -> Refused:
    return Refused(
        words(
            "this is not the key of {workshop}: its log is signed with the key {wanted}",
            workshop=workshop,
            wanted=wanted.fingerprint,
        )
    )


def private_file(path: Path, *, new: bool = True) -> BinaryIO:
    """Open a file for writing that only its owner can read: what holds keys, names or answers.

    Parameters
    ----------
    path : pathlib.Path
    new : bool
        Whether there must be no such file yet; else what is there is written over.

    Returns
    -------
    binary file

    Raises
    ------
    OSError
    """
    how = os.O_EXCL if new else os.O_TRUNC
    return os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | how, 0o600), "wb")


def sync_folder(folder: Path) -> None:
    """Make the names in a folder durable, where the system can.

    Parameters
    ----------
    folder : pathlib.Path
    """
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)

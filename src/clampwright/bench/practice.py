"""Practice on disk: ``practice/`` in the workshop folder, apart from the log.

::

    practice/CLASS.jsonl        results of a class, one JSON object a line
    practice/lessons/*.toml     the teacher's own lessons

Nothing here opens the log, and nothing that reads the log opens this. A file is never changed in
place: the whole of it is written beside and put in its place, so that after a power cut either the
old or the new one is there.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from clampwright.errors import BadFile, ClampwrightError, Missing, Refused, StoreBusy, StoreFull
from clampwright.intake import most
from clampwright.practice.lesson import FIRST, Lesson, first_lesson, read_lesson
from clampwright.practice.results import (
    CLASS,
    Result,
    check_class,
    check_learner,
    read_results,
)
from clampwright.store.keyfile import private_file, sync_folder
from clampwright.store.lock import WriterLock
from clampwright.words import words

FOLDER, LESSONS = "practice", "lessons"
LOCK = ".practice.lock"
"""Beside the folder, so that no backup takes it along."""
LARGEST = most("practice results")
"""Bytes of one class's file: some sixty thousand answers."""
MOST_CLASSES = 500
LARGEST_ALL = 200_000_000
"""Bytes of all classes together: answers come from who has not signed in, and the disk is the log's
too."""
PATIENCE = 5.0
"""Seconds that one answer waits for another."""
_STEP = 0.02


class PracticeBook:
    """The results and lessons of one workshop.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's folder.
    patience : float
        See `PATIENCE`.
    largest_all : int, optional
        See `LARGEST_ALL`; less is taken from strangers.

    Examples
    --------
    >>> PracticeBook(Path("/nowhere")).classes()
    ()
    """

    def __init__(
        self, folder: Path, *, patience: float = PATIENCE, largest_all: int | None = None
    ) -> None:
        self._largest_all = largest_all
        self._workshop = folder
        self._place = folder / FOLDER
        self._patience = patience

    def classes(self) -> tuple[str, ...]:
        """Return the names of the classes there are."""
        names = (path.stem for path in self._place.glob("*.jsonl"))
        return tuple(sorted(name for name in names if CLASS.fullmatch(name)))

    def results(self, name: str) -> tuple[Result, ...]:
        """Return the results of a class; none where there is no such class yet.

        Parameters
        ----------
        name : str

        Returns
        -------
        tuple of Result
            In the order they came in.

        Raises
        ------
        BadFile
            The file was changed by hand and cannot be read.
        """
        path = self._file(name)
        return read_results(self._read(path), str(path))

    def add(self, name: str, result: Result) -> bool:
        """Keep a result.

        Parameters
        ----------
        name : str
            Of the class; a new one begins with its first result.
        result : Result

        Returns
        -------
        bool
            False where the same answer was kept before.

        Raises
        ------
        Refused
            Another answer was kept under this id, or the class is full.
        StoreBusy
            Another answer is being kept for too long.
        StoreFull
            It cannot be written; what was there stays.
        """
        path = self._file(name)
        with self._turn():
            before = self._read(path)
            known = {one.id: one for one in read_results(before, str(path))}
            if (mine := known.get(result.id)) is not None:
                if mine.same_answer(result):
                    return False
                raise Refused(
                    words("another answer was kept under this id; the first one stays as it is")
                )
            if not before and len(self.classes()) >= MOST_CLASSES:
                raise Refused(words("there are {most} classes already", most=MOST_CLASSES))
            after = before + result.line().encode("utf-8") + b"\n"
            if self._size() - len(before) + len(after) > (self._largest_all or LARGEST_ALL):
                raise Refused(words("there are too many answers here: erase those of old classes"))
            if len(after) > LARGEST:
                raise Refused(words("the class {name} is full; begin another one", name=name))
            self._replace(path, after)
        return True

    def forget(self, name: str, learner: str | None = None) -> int:
        """Erase the results of a class, or of one learner of it.

        Parameters
        ----------
        name : str
        learner : str, optional

        Returns
        -------
        int
            How many were erased.

        Raises
        ------
        Missing
            There is no such class, or nothing of this learner.
        """
        path = self._file(name)
        with self._turn():
            before = read_results(self._read(path), str(path))
            left = [one for one in before if learner not in {None, one.learner}]
            if learner is not None:
                check_learner(learner)
            if len(left) == len(before):
                raise Missing(
                    words("there is nothing of {who} to erase", who=learner or name), needed="entry"
                )
            if left:
                self._replace(path, b"".join(one.line().encode() + b"\n" for one in left))
            else:
                path.unlink()
        return len(before) - len(left)

    def lessons(self) -> dict[str, Lesson | BadFile]:
        """Return every lesson, the shipped one first; in place of one that cannot be read, why."""
        found: dict[str, Lesson | BadFile] = {FIRST: first_lesson()}
        for path in sorted((self._place / LESSONS).glob("*.toml")):
            if path.stem == FIRST or CLASS.fullmatch(path.stem) is None:
                continue
            try:
                found[path.stem] = read_lesson(self._read(path), str(path), key=path.stem)
            except BadFile as error:
                found[path.stem] = error
        return found

    def lesson(self, key: str) -> Lesson:
        """Return a lesson.

        Parameters
        ----------
        key : str

        Returns
        -------
        Lesson

        Raises
        ------
        Missing
            There is none of that name.
        BadFile
            Its file cannot be taken.
        """
        if key == FIRST:
            return first_lesson()
        path = self._place / LESSONS / f"{key}.toml"
        if CLASS.fullmatch(key) is None or not path.is_file():
            raise Missing(
                words(
                    "there is no lesson {key!r}; there are {known}",
                    key=key[:60],
                    known=", ".join(self.lessons()),
                ),
                needed="entry",
            )
        return read_lesson(self._read(path), str(path), key=key)

    def _size(self) -> int:
        """Return the bytes of all classes."""
        return sum(path.stat().st_size for path in self._place.glob("*.jsonl"))

    def _file(self, name: str) -> Path:
        return self._place / f"{check_class(name)}.jsonl"

    @staticmethod
    def _read(path: Path) -> bytes:
        try:
            return path.read_bytes()
        except FileNotFoundError:
            return b""
        except OSError as error:
            raise ClampwrightError(
                words(
                    "{file} cannot be read: {problem}",
                    file=str(path),
                    problem=str(error.strerror),
                )
            ) from error

    @contextmanager
    def _turn(self) -> Iterator[None]:
        """Hold the right to change a file, for a moment."""
        until = time.monotonic() + self._patience
        while True:
            try:
                lock = WriterLock(self._workshop / LOCK)
                break
            except StoreBusy:
                if time.monotonic() >= until:
                    raise
            time.sleep(_STEP)
        try:
            yield
        finally:
            lock.release()

    def _replace(self, path: Path, data: bytes) -> None:
        fresh = self._workshop / f".practice-{path.stem}.new"
        try:
            path.parent.mkdir(exist_ok=True)
            with private_file(fresh, new=False) as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            fresh.replace(path)
            sync_folder(path.parent)
        except OSError as error:
            raise StoreFull(
                words(
                    "{file} cannot be written: {problem}; nothing was changed",
                    file=str(path),
                    problem=str(error.strerror),
                )
            ) from error
        finally:
            fresh.unlink(missing_ok=True)

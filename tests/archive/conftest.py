"""One invented day, and a chain of workshops that all had it, month after month."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from fleet import Day, day_of, fleet

from clampwright.archive.layout import Archive, archive_at
from clampwright.archive.taking import put

WORKSHOPS, MONTHS = 9, 3


@pytest.fixture(scope="session")
def day(tmp_path_factory: pytest.TempPathFactory) -> Day:
    return day_of(tmp_path_factory.mktemp("day") / "workshop")


@pytest.fixture(scope="session")
def kept_chain(day: Day, tmp_path_factory: pytest.TempPathFactory) -> Archive:
    """Made once; nobody changes it."""
    archive = archive_at(tmp_path_factory.mktemp("chain") / "archive", create=True)
    for source in fleet(day, WORKSHOPS, MONTHS):
        put(archive, source)
    return archive


@pytest.fixture(scope="session")
def kept_few(day: Day, tmp_path_factory: pytest.TempPathFactory) -> Archive:
    """Four workshops, two months: where only the way of the work matters."""
    archive = archive_at(tmp_path_factory.mktemp("few") / "archive", create=True)
    for source in fleet(day, 4, 2):
        put(archive, source)
    return archive


@pytest.fixture
def few(kept_few: Archive, tmp_path: Path) -> Archive:
    """Few workshops, fresh: nothing analysed yet."""
    folder = tmp_path / "few"
    shutil.copytree(kept_few.folder, folder)
    return Archive(folder)


@pytest.fixture
def chain(kept_chain: Archive, tmp_path: Path) -> Archive:
    """The chain, fresh: nothing analysed yet."""
    folder = tmp_path / "chain"
    shutil.copytree(kept_chain.folder, folder)
    return Archive(folder)

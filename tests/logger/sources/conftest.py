"""Boards that are known, and a clock to move."""

from pathlib import Path

import pytest
from port_sources import Clock

from logger.sources.known import KnownBoards


@pytest.fixture
def known(tmp_path: Path) -> KnownBoards:
    return KnownBoards(tmp_path / "config")


@pytest.fixture
def clock() -> Clock:
    return Clock()

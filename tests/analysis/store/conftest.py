"""A store of its own for every test."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from analysis.store import Store, open_store


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "kept.db"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    with open_store(path, busy_timeout_s=0.01) as opened:
        yield opened

"""A window at the practice bench, for the tests of the live screen."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from screens import Seat, practice_seat


@pytest.fixture
def seat(tmp_path: Path) -> Iterator[Seat]:
    made = practice_seat(tmp_path)
    yield made
    made.close()


@pytest.fixture
def story(tmp_path: Path) -> Iterator[Seat]:
    made = practice_seat(tmp_path, story=True)
    made.go(1.0)
    yield made
    made.close()

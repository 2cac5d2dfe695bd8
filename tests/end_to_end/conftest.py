"""What is tried from end to end stays out of the quick loop; and what many of its files set up."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from running import move_in, practice_file
from served_bench import nothing, served


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark everything in this folder as slow."""
    here = Path(__file__).parent
    for item in items:
        if item.path.is_relative_to(here):
            item.add_marker(pytest.mark.slow)


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """An empty home that commands in this process find, and work in."""
    return move_in(tmp_path, monkeypatch)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The whole as-found sweep, written down."""
    return practice_file(tmp_path_factory.mktemp("made") / "as-found.mcap")


@pytest.fixture(scope="module")
def two_turns(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A recording of the bench with two turns."""
    return practice_file(tmp_path_factory.mktemp("made") / "two.mcap", "wind-pump/as-found", "--turns", 2)


@pytest.fixture(scope="module")
def quick_port() -> Iterator[str]:
    """A bench that is served throughout; every recording opens it anew."""
    with served(nothing) as board:
        yield board.port

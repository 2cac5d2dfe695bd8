"""A store of its own for every test: in a file, or in a file and on a server where a test asks for either."""

from collections.abc import Iterator
from pathlib import Path

import either_store
import postgres_server
import pytest

from analysis.store import Store, open_store


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "kept.db"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    with open_store(path, busy_timeout_s=0.01) as opened:
        yield opened


@pytest.fixture(scope="session")
def server() -> Iterator[postgres_server.Server]:
    with postgres_server.server() as running:
        yield either_store.server_with_template(running)


@pytest.fixture(params=either_store.EITHER)
def where(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a store is, in a file and on a server in turn."""
    if request.param == "file":
        return str(tmp_path / "kept.db")
    return either_store.empty_store(request.getfixturevalue("server"))


@pytest.fixture
def either(where: str) -> Iterator[Store]:
    """An open store, in a file and on a server in turn."""
    with open_store(where, busy_timeout_s=0.01) as opened:
        yield opened

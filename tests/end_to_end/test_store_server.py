"""A recording into a server's store that stops and starts on the way: nothing is lost."""

from collections.abc import Iterator
from pathlib import Path

import postgres_server
import pytest
from running import bench, finish, fullturn, said, start

pytestmark = [postgres_server.NEEDED, pytest.mark.slow]
OVER = 1


@pytest.fixture
def server() -> Iterator[postgres_server.Server]:
    with postgres_server.server() as running:
        yield running


def test_a_server_that_stops_and_starts_while_recording_loses_nothing(
    tmp_path: Path, server: postgres_server.Server
) -> None:
    url = server.make_database("stopped")
    with bench(tmp_path, "wind-pump/as-found", "--link", tmp_path / "port"):
        recording = start(
            tmp_path,
            "record",
            tmp_path / "port",
            "--limit",
            "0.050 mm",
            "--turns",
            "3",
            "--json",
            "--store",
            url,
        )
        said(recording, "turn 1 of 3 is round")
        server.stop()
        said(recording, "the store refuses (")
        server.start()
        ran = finish(recording)
    assert ran.status == OVER
    assert "not stored" not in ran.err
    kept = fullturn(tmp_path, "history", "--json", "--store", url).result["turns"]
    assert len(kept) == len(ran.result["turns"]) == 3
    assert {(turn["state"], turn["ended"]) for turn in kept} == {("over", "closed")}
    status = fullturn(tmp_path, "store", "status", "--json", "--store", url).result
    assert (status["recordings"], status["turns"], status["decisions"]) == (1, 3, 1)

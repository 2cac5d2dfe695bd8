"""A server that is gone while a recording runs, and back before its end or not."""

from collections.abc import Iterator
from pathlib import Path

import postgres_server
import psycopg
import pytest
from recorded_practice import practice_recorder

from analysis.capture.events import TurnExcluded, TurnStarred
from analysis.store import open_store
from logger.acquisition.adding import replay_into_store
from logger.acquisition.turn_store import TurnStore
from logger.recording import RecordingReader
from logger.session import FinishedTurnSamples

pytestmark = [postgres_server.NEEDED, pytest.mark.slow]


@pytest.fixture(scope="module")
def server() -> Iterator[postgres_server.Server]:
    with postgres_server.server() as running:
        yield running


def test_a_server_that_was_gone_on_the_way_has_every_turn_and_the_result(
    server: postgres_server.Server, tmp_path: Path
):
    url, said = server.make_database("gone"), list[str]()
    recorder = practice_recorder(tmp_path / "a.mcap", turns=3)
    turns = [message for message in recorder.messages() if isinstance(message, FinishedTurnSamples)]
    recorded = recorder.close()
    kept = TurnStore(url, recorder, "0")
    kept.begin(said.append)
    kept.add(turns[0])
    kept.keep(said.append)
    server.stop()
    try:
        for turn in turns[1:]:
            kept.add(turn)
            kept.keep(said.append)
        kept.finish(recorded, True, "over", {"runout": "face"})
        kept.close()
        assert kept.not_stored().startswith("not stored: 2 turns and the result (")
    finally:
        server.start()
    assert len(said) == 1
    kept.close()
    assert kept.not_stored() == ""
    with open_store(url) as opened:
        rows = opened.history()
    assert [(row.state, row.ended) for row in rows] == [("over", "closed")] * len(turns)
    # As if it had never been away.
    other = server.make_database("never_gone")
    again, recorded = replay_into_store(RecordingReader(recorder.path), other, "0")
    again.finish(recorded, True, "over", {"runout": "face"})
    again.close()
    with open_store(other) as opened:
        assert opened.history() == rows


def test_stars_and_turns_left_out_are_added_later_to_a_server_too(
    server: postgres_server.Server, tmp_path: Path
):
    recorder = practice_recorder(tmp_path / "b.mcap", turns=3)
    recorder.record_event(TurnStarred(2, 0.0, 1.0))
    recorder.record_event(TurnExcluded(id=1, turn=1, from_s=0.0, to_s=1.0, reason="chip"))
    for _ in recorder.messages():
        pass
    recorded = recorder.close()
    url = server.make_database("added")
    kept, _ = replay_into_store(RecordingReader(recorded.path), url, "0")
    kept.finish(recorded, True, "over", {})
    kept.close()
    assert kept.not_stored() == ""
    with psycopg.connect(url.replace("+psycopg", "")) as connection:
        noted = connection.execute(
            "select turn, kind, reason from turn_notes join turns on turns.id = turn_id order by turn_notes.id"
        ).fetchall()
    assert noted == [(2, "star", ""), (1, "left-out", "chip")]

"""A sweep loaded by its name: read once through, and nothing made on the way that nobody asked for."""

from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest
from places import RECORDINGS

from analysis.errors import BadInput
from logger.decoding import LinkOutput
from logger.inputs.loading import load_sweep
from logger.recording import RecordingReader, read_items
from logger.session.session import Session, replay
from logger.session.session_state import Snapshot
from logger.stream import HostTime, LinkBytes


def test_loading_a_recording_makes_no_snapshot_on_the_way(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[Snapshot] = []
    snapshot = Session.snapshot

    def counted(session: Session) -> Snapshot:
        made.append(snapshot(session))
        return made[-1]

    monkeypatch.setattr(Session, "snapshot", counted)
    loaded = load_sweep(str(RECORDINGS / "wind-pump-as-found" / "recording.mcap"), {})
    assert len(loaded.capture.samples) > 1000
    assert made == []


@pytest.mark.parametrize("path", sorted(RECORDINGS.glob("*/*.mcap")), ids=lambda path: path.parent.name)
def test_a_load_gives_what_the_messages_give_one_by_one(path: Path) -> None:
    try:
        capture = replay(read_items(path), RecordingReader(path).setup).capture()
    except BadInput as error:
        with pytest.raises(type(error)):
            load_sweep(str(path), {})
        return
    loaded = load_sweep(str(path), {}).capture
    for column in fields(capture.samples):
        one, other = getattr(loaded.samples, column.name), getattr(capture.samples, column.name)
        assert getattr(one, "dtype", None) == getattr(other, "dtype", None)
        assert np.array_equal(one, other), column.name
    assert (loaded.link, loaded.events, loaded.broken) == (capture.link, capture.events, capture.broken)


def test_bytes_reach_the_session_in_long_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    path = RECORDINGS / "wind-pump-as-found" / "recording.mcap"
    fed: list[int] = []
    feed = Session.feed

    def counted(session: Session, host: HostTime, data: bytes, link: int = 0) -> list[LinkOutput]:
        fed.append(len(data))
        return feed(session, host, data, link)

    monkeypatch.setattr(Session, "feed", counted)
    load_sweep(str(path), {})
    events = sum(not isinstance(item, LinkBytes) for item in read_items(path))
    assert sum(fed) > 40_000
    assert len(fed) <= 2 + events + path.stat().st_size // (1 << 18)


def test_the_last_capture_of_a_session_is_the_same_as_any() -> None:
    items = list(read_items(RECORDINGS / "wind-pump-as-found" / "recording.mcap"))
    any_one, last = replay(items).capture().samples, replay(items).capture(last=True).samples
    for column in fields(any_one):
        assert np.array_equal(getattr(any_one, column.name), getattr(last, column.name))

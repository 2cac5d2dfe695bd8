"""A sweep loaded by its name: read once through, and nothing made on the way that nobody asked for."""

import pytest
from places import RECORDINGS

from logger.inputs.loading import load_sweep
from logger.session.session import Session, Snapshot


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

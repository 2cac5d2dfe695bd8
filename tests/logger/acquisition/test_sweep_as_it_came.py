"""A recording's sweep as it is known when its last turn ends is the one that its file gives."""

from pathlib import Path

import pytest
from decoded_sessions import same

from analysis.capture import Capture
from analysis.errors import FullturnError
from analysis.sweep import analyse
from logger.acquisition import watched_session
from logger.acquisition.recorder import Recorder, new_identity
from logger.inputs import load_recorded, load_sweep
from logger.practice import PracticeSource

SWEEPS = (
    ("wind-pump/as-found", None),
    ("wind-pump/as-found", "nick"),
    ("wind-pump/as-found", "lost-counts"),
    ("wind-pump/as-found", "unplug"),
    ("wind-pump/as-found", "late"),
    ("wind-pump/half-turn-after", None),
    ("wind-pump/mount-1", None),
    ("wind-pump/end-float", None),
)


def outcome(capture: Capture) -> str:
    try:
        return repr(analyse(capture))
    except FullturnError as error:
        return f"{type(error).__name__}: {error}"


def ran(folder: Path, name: str, fault: str | None) -> Recorder:
    source = PracticeSource(name, 1, fault)
    path = folder / "recording.mcap"
    recorder = Recorder(
        source, path, setup=source.setup, identity=new_identity(source.now()), version="test",
        threaded=False, forgets=True,
    )  # fmt: skip
    for _ in recorder.messages():
        pass
    recorder.close()
    return recorder


@pytest.mark.parametrize(("name", "fault"), SWEEPS)
def test_it_is_that_of_the_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, fault: str | None
) -> None:
    monkeypatch.setattr(watched_session, "KEPT_SAMPLES", 200)
    recorder = ran(tmp_path, name, fault)
    taken = recorder.sweep()
    assert taken is not None
    live = load_recorded(recorder.path, recorder.session, *taken)
    file = load_sweep(str(recorder.path), {})
    assert live.stages == file.stages
    assert live.origin == file.origin
    # Known already: settings are those that an analysis asks for, so that nothing is read again.
    assert live.capture.samples.known is taken[1]
    if file.capture.samples.known is not None:
        assert taken[1].settings == file.capture.samples.known.settings  # type: ignore[attr-defined]
    assert outcome(live.capture) == outcome(file.capture)
    same(live.capture, file.capture)


def test_old_samples_go_as_they_are_taken(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(watched_session, "KEPT_SAMPLES", 200)
    recorder = ran(tmp_path, "wind-pump/as-found", None)
    session = recorder.session
    assert session.samples_of_newest > 1000
    assert session.samples_of_newest - session.forgotten < 2 * 200 + 20


def test_after_a_restart_the_file_tells(tmp_path: Path) -> None:
    assert ran(tmp_path, "wind-pump/as-found", "restart").sweep() is None

"""A recording's sweep as it is known when its last turn ends is the one that its file gives."""

from collections.abc import Callable
from pathlib import Path

import pytest
from decoded_sessions import same

from analysis.capture import Capture, Samples
from analysis.errors import FullturnError
from analysis.sweep import analyse
from logger.acquisition.recorder import Recorder, new_identity
from logger.inputs import load_recorded, load_sweep
from logger.live.state.growing_sweep import GrowingSweep
from logger.practice import PracticeSource
from logger.session import Session
from logger.stream import HostTime

EVERY_ITEM = 150
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

TOLD_APART = (("wind-pump/as-found", None), ("wind-pump/as-found", "late"), ("wind-pump/end-float", None))
"""Without a lag, with one, for which readings are asked for again, and by the whole sweep alone."""


def outcome(capture: Capture) -> str:
    try:
        return repr(analyse(capture))
    except FullturnError as error:
        return f"{type(error).__name__}: {error}"


def begun(
    folder: Path,
    name: str,
    fault: str | None,
    *,
    kept_samples: int = 200,
    after_item: Callable[[Session, HostTime], None] | None = None,
) -> Recorder:
    source = PracticeSource(name, 1, fault)
    path = folder / "recording.mcap"
    return Recorder(
        source, path, setup=source.setup, identity=new_identity(source.now()), version="test",
        threaded=False, kept_samples=kept_samples, after_item=after_item,
    )  # fmt: skip


def ran(folder: Path, name: str, fault: str | None) -> Recorder:
    recorder = begun(folder, name, fault)
    for _ in recorder.messages():
        pass
    recorder.close()
    return recorder


@pytest.mark.parametrize(("name", "fault"), SWEEPS)
def test_it_is_that_of_the_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, fault: str | None
) -> None:
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
    recorder = ran(tmp_path, "wind-pump/as-found", None)
    session = recorder.session
    assert session.samples_of_newest > 1000
    assert session.samples_of_newest - session.forgotten < 2 * 200 + 20


def test_after_a_restart_the_file_tells(tmp_path: Path) -> None:
    assert ran(tmp_path, "wind-pump/as-found", "restart").sweep() is None


@pytest.mark.parametrize(("name", "fault"), TOLD_APART)
def test_so_far_it_is_that_of_the_samples_so_far(tmp_path: Path, name: str, fault: str | None) -> None:
    items, compared = 0, 0

    def look(session: Session, host: HostTime) -> None:
        nonlocal items, compared
        items += 1
        taken = recorder.sweep_so_far() if items % EVERY_ITEM == 0 else None
        if taken is None:
            return
        whole = session.capture()
        so_far = session.capture_taken(taken[0], Samples.on_demand(whole.samples.blocks, taken[1]))
        assert outcome(so_far) == outcome(whole)
        compared += 1

    recorder = begun(tmp_path, name, fault, kept_samples=1 << 20, after_item=look)
    for _ in recorder.messages():
        pass
    recorder.close()
    assert compared >= 3
    # Having been looked at changes nothing of how it ends.
    taken = recorder.sweep()
    assert taken is not None
    assert outcome(load_recorded(recorder.path, recorder.session, *taken).capture) == outcome(
        load_sweep(str(recorder.path), {}).capture
    )


@pytest.mark.parametrize(("name", "fault"), [*TOLD_APART, ("wind-pump/as-found", "restart")])
@pytest.mark.parametrize("kept_samples", [200, 1 << 20])
def test_a_screen_has_it_from_the_recording_once_samples_are_forgotten(
    tmp_path: Path, name: str, fault: str | None, kept_samples: int
) -> None:
    recorder = begun(tmp_path, name, fault, kept_samples=kept_samples)
    for _ in recorder.messages():
        pass
    growing = outcome(GrowingSweep(recorder.session, recorder.worker.lock, recorder).capture())
    recorder.close()
    assert growing == outcome(load_sweep(str(recorder.path), {}).capture)

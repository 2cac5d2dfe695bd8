"""One sweep out of a longer recording: nothing before it, nothing after it, and the set-up of its moment."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from small_recordings import SETUP, hello, host, sample, write

from analysis.capture.events import MarkTouched, SweepBegun, SweepTaken
from analysis.errors import BadInput
from analysis.setup import MarkSide
from logger.inputs.sweep_excerpt import load_excerpt
from logger.session.session import Session
from logger.stream import Item, LinkBytes, RecordedEvent, SetupChange
from logger.wire.framing import encode_frame
from logger.wire.messages import Channel

COUNTS = 2400


def turning(seconds: int) -> Iterator[Item]:
    """A turn every two seconds, a hundred readings a second, a frame lost in second 1 and second 5."""
    yield LinkBytes(host(0), hello(0, 0))
    yield LinkBytes(host(0), encode_frame(Channel(1, 0, 0, 1, 0, 1000, 1, -9999, 9999, "dial").encode()))
    lost = 0
    for k in range(1, seconds * 100):
        lost += k in (150, 550)
        frame = sample(1 + k + lost, k * 10_000, count=k * COUNTS // 200, value=(k * 37) % 50)
        yield LinkBytes(host(k * 10), frame)
        if k == 310:
            yield SetupChange(host(k * 10), {**SETUP, "stage": "as found"})
            yield RecordedEvent(host(k * 10), MarkTouched(MarkSide.PART, 300))
            yield RecordedEvent(host(k * 10), SweepBegun("one", "as-found", 1))
        if k == 900:
            taken = SweepTaken("one", "as-found", 1, from_turn=0, to_turn=1, from_s=4.0, to_s=8.0)
            yield RecordedEvent(host(k * 10), taken)
        if k == 910:
            yield SetupChange(host(k * 10), {**SETUP, "stage": "as left"})
            yield RecordedEvent(host(k * 10), MarkTouched(MarkSide.PART, 700))


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("taken") / "long.mcap"
    write(path, turning(12))
    return path


def test_only_the_stretch_is_there_with_a_little_on_either_side(recording: Path) -> None:
    t_s = load_excerpt(recording, "one").capture.samples.t_s
    assert (float(t_s[0]), float(t_s[-1])) == pytest.approx((3.7, 8.3), abs=0.011)  # one reading


def test_the_set_up_and_the_mark_are_those_of_its_moment(recording: Path) -> None:
    capture = load_excerpt(recording, "one").capture
    assert capture.setup.stage == "as found"
    # Reading 650 stands at count 7800, 3.125 turns past the mark at 300.
    near = capture.samples.angle_rad[abs(capture.samples.t_s - 6.49).argmin()]
    assert float(near) == pytest.approx(3.125 * 2 * 3.14159265, abs=0.04)  # a reading is 1.8 deg


def test_what_the_link_lost_before_is_not_held_against_it(recording: Path) -> None:
    link = load_excerpt(recording, "one").capture.link
    assert link is not None
    assert link.lost == 1


def test_a_limit_entered_later_holds_for_it(recording: Path) -> None:
    setup = load_excerpt(recording, "one", {"limit": "3 thou", "surface": ""}).capture.setup
    assert setup.limit is not None
    assert (setup.limit.length.as_written, "surface" in setup.text) == ("3 thou", False)


def test_a_sweep_that_is_not_in_it_is_named(recording: Path) -> None:
    with pytest.raises(BadInput, match="has no sweep two"):
        load_excerpt(recording, "two")


def test_a_set_up_changed_early_loses_no_reading_of_a_recording() -> None:
    session = Session(live=False)
    for item in turning(4):
        session.take(item)
    session.flush()
    assert session.snapshot().samples == 399

"""Every state of gauge, board, sweep and window, as the window shows it at 80 by 24."""

import asyncio
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from places import RECORDINGS
from screens import Seat, ShownWindow, practice_seat, recording_seat

from logger.live.drawing.display_options import DisplayOptions
from logger.screen.colours import DARK, LIGHT

pytestmark = pytest.mark.slow  # a bench, a worker and a window a case

RECORDING = RECORDINGS / "wind-pump-as-found" / "recording.mcap"


OPEN: list[Seat] = []


@pytest.fixture(autouse=True)
def closed_at_the_end() -> Iterator[None]:
    """Close whatever a test has opened."""
    yield
    while OPEN:
        seat = OPEN.pop()
        if seat.console.runtime.recorder is not None:
            seat.close()
        else:
            seat.console.runtime.worker._greeting.farewell()


def at_the_bench(folder: Path, scenario: str = "wind-pump/as-found", **more: Any) -> Seat:
    """Return a seat at the practice bench that is closed when the test ends."""
    OPEN.append(practice_seat(folder, scenario, **more))
    return OPEN[-1]


def at_a_recording(path: Path, folder: Path, *, follow: bool) -> Seat:
    """Return a seat at a recording that is closed when the test ends."""
    OPEN.append(recording_seat(path, folder, follow=follow))
    return OPEN[-1]


def shown(seat: Seat, size: tuple[int, int] = (80, 24)) -> list[str]:
    """Return what the window shows, as lines."""
    found: list[str] = []

    async def go() -> None:
        window = ShownWindow(seat)
        async with window.run_test(size=size) as pilot:
            window.frame()
            await pilot.pause()
            found.extend(window.text())
        window.finish()

    asyncio.run(go())
    assert [len(line) for line in found] == [size[0]] * size[1]
    return found


def waiting(folder: Path) -> Seat:
    return at_the_bench(folder)


def first_turn(folder: Path) -> Seat:
    seat = at_the_bench(folder)
    seat.go(4.0)
    return seat


def over(folder: Path) -> Seat:
    seat = at_the_bench(folder)
    seat.turn(3)
    return seat


def within(folder: Path) -> Seat:
    seat = at_the_bench(folder, "wind-pump/as-left")
    seat.turn(3)
    return seat


def without_a_limit(folder: Path) -> Seat:
    seat = at_the_bench(folder, override={"limit": ""})
    seat.turn(1)
    return seat


def asleep(folder: Path) -> Seat:
    seat = at_the_bench(folder)
    seat.turn(1)
    seat.source.bench._due[4] = 1 << 62  # type: ignore[attr-defined]  # no value ever comes again
    seat.go(1.8)
    return seat


def unplugged(folder: Path) -> Seat:
    seat = at_the_bench(folder, fault="unplug")
    for _ in range(400):
        seat.go(0.05, analyse=False)
        if seat.console.runtime.state.link == "gone":
            break
    seat.go(0.9)
    return seat


def faulty(fault: str) -> Callable[[Path], Seat]:
    def make(folder: Path) -> Seat:
        seat = at_the_bench(folder, fault=fault)
        seat.go(15.0)
        return seat

    return make


def pressed(*keys: str) -> Callable[[Path], Seat]:
    def make(folder: Path) -> Seat:
        seat = over(folder)
        seat.press(*keys)
        return seat

    return make


def named(folder: Path) -> Seat:
    seat = over(folder)
    seat.press("r")
    seat.enter("job 7")
    return seat


def overdue(folder: Path) -> Seat:
    seat = at_the_bench(folder, override={"gauge_due": "2001-01-31"})
    seat.turn(1)
    return seat


def left_out(folder: Path) -> Seat:
    seat = over(folder)
    seat.press("x")
    seat.enter("bench was knocked")
    seat.analyse()
    return seat


STATES: list[tuple[Callable[[Path], Seat], tuple[str, ...], tuple[str, ...]]] = [
    (waiting, ("██████  ██████", "waiting for the board"), ("TIR   0", "no turns")),
    (first_turn, ("TIR   after one full turn", "not yet seen: ", "limit 0.050 mm"), ("over by",)),
    (over, ("over the entered limit", "over by 0.09", "last two turns agree within"), ("not yet seen",)),
    (within, ("within the entered limit", "under by"), ("over by",)),
    (without_a_limit, ("limit none entered",), ("over by", "under by")),
    (asleep, ("indicator asleep or unplugged", "TIR   none now"), ("the indicator shows", "TIR   0")),
    (unplugged, ("board gone: plug it in", "it is taken up again by itself"), ("the indicator shows",)),
    (faulty("restart"), ("board restarted: put the part's mark under the tip and press M",), ("TIR   0",)),
    (faulty("unit-pressed"), ("The sweep is broken: somebody pressed in/mm on the indicator",), ("TIR   0",)),
    (faulty("zero-pressed"), ("The sweep is broken: somebody pressed zero on the indicator",), ("TIR   0",)),
    (pressed("space"), ("★",), ()),
    (pressed("l"), ("LOCKED   L L unlocks",), ()),
    (pressed("z"), ("zeroed", "the indicator shows 1."), ()),
    (pressed("b"), ("bells off",), ()),
    (named, ("REC 0:", "named", "kept as"), ()),
    (overdue, ("the gauge's certificate was due on 2001-01-31",), ()),
    (left_out, ("turn 3 is left out: bench was knocked",), ()),
]


@pytest.mark.parametrize(
    ("make", "there", "not_there"), STATES, ids=lambda one: getattr(one, "__qualname__", None)
)
def test_a_state_is_told_in_words(
    tmp_path: Path, make: Callable[[Path], Seat], there: tuple[str, ...], not_there: tuple[str, ...]
) -> None:
    seat = make(tmp_path)
    lines = shown(seat)
    # Sentences are broken over rows: words are looked for in the whole, blanks taken together.
    text, flat = "\n".join(lines), " ".join(" ".join(lines).split())
    for words in there:
        assert words in text or words in flat, words
    for words in not_there:
        assert words not in text, words
        assert words not in flat, words


def test_the_tir_is_the_word_then_spaces_then_the_number(tmp_path: Path) -> None:
    lines = shown(over(tmp_path))
    assert any(re.search(r"TIR {2,}\d\.\d{3} mm", line) for line in lines)
    assert any(re.search(r"limit \d\.\d{3} mm", line) for line in lines)


def test_a_gauge_that_sleeps_takes_its_tir_with_it_until_it_wakes(tmp_path: Path) -> None:
    def of_tir() -> str:
        return next(line[46:].strip() for line in shown(seat) if "TIR " in line)

    seat = over(tmp_path)
    before = of_tir()
    due = seat.source.bench._due[4]  # type: ignore[attr-defined]
    seat.source.bench._due[4] = 1 << 62  # type: ignore[attr-defined]
    seat.go(1.8)
    assert of_tir() == "TIR   none now"
    seat.source.bench._due[4] = due  # type: ignore[attr-defined]
    seat.go(0.5)
    assert of_tir() == before


def test_dashes_and_words_come_within_a_second_of_the_plug_being_pulled(tmp_path: Path) -> None:
    seat = at_the_bench(tmp_path, fault="unplug")
    seat.go(1.0)
    for _ in range(600):
        heard_ns = seat.console.runtime.session_tap.last_heard_ns
        seat.go(0.02, analyse=False)
        if not seat.console.runtime.view().live:
            break
    silent_s = (seat.console.runtime.now_ns() - heard_ns) * 1e-9
    assert silent_s < 1.0
    assert "board gone" in seat.text() or "indicator asleep" in seat.text()


def test_a_follower_is_told_apart(tmp_path: Path) -> None:
    owner = over(tmp_path / "a")
    recorder = owner.console.runtime.recorder
    assert recorder is not None
    follower = at_a_recording(recorder.path, tmp_path / "b", follow=True)
    follower.go(2.0)
    assert "VIEW ONLY" in shown(follower)[0]


def test_a_follower_of_a_writer_that_is_gone_says_so(tmp_path: Path) -> None:
    owner = over(tmp_path / "a")
    recorder = owner.console.runtime.recorder
    assert recorder is not None
    follower = at_a_recording(recorder.path, tmp_path / "b", follow=True)
    follower.go(3.0)
    for _ in range(60):
        follower.go(0.05, analyse=False)
        text = follower.text()
    assert "has the window that owns the port gone?" in text
    assert "TIR   0.1" in text


@pytest.mark.parametrize("key", ["z", "m", "c", "u", "x", "r", "space"])
def test_a_follower_changes_nothing(tmp_path: Path, key: str) -> None:
    owner = over(tmp_path / "a")
    recorder = owner.console.runtime.recorder
    assert recorder is not None
    owner.go(0.2)
    follower = at_a_recording(recorder.path, tmp_path / "b", follow=True)
    follower.go(3.0)
    follower.press(key)
    assert "view only" in follower.text()
    assert follower.console.runtime.worker._inbox.empty()


def test_a_follower_cannot_change_the_set_up(tmp_path: Path) -> None:
    owner = over(tmp_path / "a")
    recorder = owner.console.runtime.recorder
    assert recorder is not None
    follower = at_a_recording(recorder.path, tmp_path / "b", follow=True)
    follower.go(3.0)
    follower.press("2", "down", "down", "space")
    assert "view only" in follower.text()
    follower.press("up", "up", "up", "up", "space")
    assert "view only" in follower.text()


def test_a_replay_says_its_speed_and_that_it_is_paused(tmp_path: Path) -> None:
    seat = at_a_recording(RECORDING, tmp_path, follow=False)
    replay = seat.live_session.replay
    assert replay is not None
    replay._source._clock = seat.clock
    replay._source._wait = lambda s: None
    replay._source._looked_s = seat.clock()
    seat.go(1.0)
    assert re.search(r"REPLAY 0:0\d( of 0:39)? x1", shown(seat)[0])
    seat.press("p")
    assert re.search(r"REPLAY 0:0\d of 0:39 paused", shown(seat)[0])


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40), (200, 60)])
def test_the_round_view_stands_beside_the_strip_from_100_columns(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    lines = shown(over(tmp_path), size)
    beside = [line for line in lines[9:-6] if re.search("[⠁-⣿]", line[2 * size[0] // 3 :])]
    assert any("◆" in line for line in lines) == (size[0] >= 100)
    assert beside


def test_a_wall_is_light_and_large(tmp_path: Path) -> None:
    seat = pressed("w")(tmp_path)
    lines = shown(seat)
    assert seat.console.light
    assert "OVER THE ENTERED LIMIT" in "\n".join(lines)
    # Five rows each for the reading, the TIR and the verdict.
    assert sum("█" in line for line in lines) >= 15


def luminance(colour: str) -> float:
    """Return the relative luminance of #rrggbb (WCAG 2.1, from memory)."""
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize(("theme", "least"), [("dark", 6.0), ("light", 6.0)])
def test_every_role_stands_out_from_its_ground(theme: str, least: float) -> None:
    # 4.5 to 1 is the common least for letters (WCAG 2.1 AA, from memory); dirty glass wants some more.
    for role, words in (DARK if theme == "dark" else LIGHT).items():
        fore, back = (luminance(word) for word in words.split() if word.startswith("#"))
        ratio = (max(fore, back) + 0.05) / (min(fore, back) + 0.05)
        assert ratio >= least, (role, ratio)


def test_a_thick_trace_has_more_points(tmp_path: Path) -> None:
    seat = over(tmp_path)
    thin = sum(bin(ord(c) - 0x2800).count("1") for c in seat.text() if "⠀" <= c <= "⣿")
    seat.console.options = DisplayOptions(thick=True)
    thick = sum(bin(ord(c) - 0x2800).count("1") for c in seat.text() if "⠀" <= c <= "⣿")
    assert thick > 1.5 * thin

"""Bad input at the window: each gets a clear message, and the session goes on."""

import re
import shutil
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path

import pytest
from other_gauges import in_pieces
from places import RECORDINGS
from screens import FedSource, Seat, ShownWindow, lines_seat, practice_seat, recording_seat, run_window
from textual.events import Paste
from textual.pilot import Pilot
from textual.widgets import Input, Static

from analysis.capture.events import GapCause, LinkLost, TurnExcluded, WindowExcluded
from logger.live.controllers.window_intents import OpenPage
from logger.screen.prompt import PromptScreen

pytestmark = pytest.mark.slow  # a bench, a worker and a window a case

Script = Callable[[ShownWindow, Pilot[None]], Awaitable[None]]
STEERING = "\x1b[2J\x1b]0;gone\x07\x9b31m\u202e\x00"
"""Clears a screen, names a window, colours, turns the direction of writing round."""
RECORDING = RECORDINGS / "wind-pump-as-found" / "recording.mcap"


@pytest.fixture
def seat(tmp_path: Path) -> Iterator[Seat]:
    made = practice_seat(tmp_path)
    made.turn(1)
    yield made
    made.close()


async def ask(window: ShownWindow, pilot: Pilot[None], seat: Seat, *keys: str) -> PromptScreen:
    """Press keys that end in a line to be typed, and return what asks for it."""
    for key in keys:
        seat.clock.now_s += 1.0
        await pilot.press(key)
    window.frame()
    await pilot.pause()
    assert isinstance(window.screen, PromptScreen)
    return window.screen


async def type_line(window: ShownWindow, pilot: Pilot[None], line: str) -> str:
    """Type a line whole, and return what is said of it; empty where it was taken."""
    prompt = window.screen
    assert isinstance(prompt, PromptScreen)
    prompt.query_one(Input).value = line
    await pilot.press("enter")
    await pilot.pause()
    return str(prompt.query_one("#words", Static).render()) if window.screen is prompt else ""


def goes_on(seat: Seat) -> bool:
    """Tell whether readings still come and are shown."""
    before = seat.console.runtime.readout.newest_ns
    seat.go(0.3, analyse=False)
    return seat.console.runtime.readout.newest_ns > before and "the indicator shows" in seat.text()


LIMIT = ("2", *["down"] * 5, "space")
"""The keys that lead to the limit."""


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("0.05", "has no unit"),
        ("0 mm", "not above zero"),
        ("5 hundredths", "write the number with"),
        ("1 tenth", "write the number with"),
        ("3 mil", "write the number with"),
        ("1,000.5 mm", "1,000.5"),
        ("0.05 mm 3", "0.05 mm 3"),
        ("-0.05 mm", "above zero"),
        ("nonsense", "nonsense"),
    ],
)
def test_a_limit_that_will_not_do_is_told_and_the_old_one_holds(seat: Seat, line: str, words: str) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await ask(window, pilot, seat, *LIMIT)
        shown = await type_line(window, pilot, line)
        assert words in shown
        assert "\n" not in shown.strip()
        await pilot.press("escape")
        await pilot.pause()
        assert seat.console.runtime.session.setup.text["limit"] == "0.050 mm"
        seat.console.send(OpenPage("turning"))
        assert goes_on(seat)

    run_window(seat, script)


@pytest.mark.parametrize(
    ("label", "line", "words"),
    [
        ("track radius", "110", "no unit"),
        ("holes", "x", "holes"),
        ("gauge angle", "steep", "gauge_angle"),
        ("certificate due", "next year", "write it like 2026-03-31"),
        ("certificate", "0:0 mm", "at least two different readings"),
        ("certificate", "0:0 1:0.001", "unit"),
        ("tip stands at", "13", "tip_clock"),
        ("screws", "x y", "screws: angle"),
        ("counts a turn", "-5", "counts_per_turn"),
        ("places", "2", "from 3 to 360"),
    ],
)
def test_a_value_of_the_set_up_that_will_not_do_is_told(
    seat: Seat, label: str, line: str, words: str
) -> None:
    from analysis.setup import FORM_FIELDS

    seat.press("2", *["down"] * next(k for k, field in enumerate(FORM_FIELDS) if field.label == label))

    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await ask(window, pilot, seat, "space")
        before = dict(seat.console.runtime.session.setup.text)
        assert words in await type_line(window, pilot, line)
        await pilot.press("escape")
        await pilot.pause()
        assert seat.console.runtime.session.setup.text == before

    run_window(seat, script)


def test_a_name_that_is_no_name_is_told_and_the_recording_goes_on(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await ask(window, pilot, seat, "r")
        assert "is no name for a file" in await type_line(window, pilot, "../../etc/passwd")
        assert await type_line(window, pilot, "good name") == ""
        assert goes_on(seat)

    run_window(seat, script)


def test_a_window_that_is_no_window_is_told(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await ask(window, pilot, seat, "x")
        assert "40" in await type_line(window, pilot, "40=keyway")
        assert "a reason is needed" in await type_line(window, pilot, "")
        assert goes_on(seat)

    run_window(seat, script)


def test_pasted_text_does_nothing_on_a_page(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        before = seat.text()
        window.post_message(Paste("q\nzml2\n" * 200))
        await pilot.pause()
        window.frame()
        assert not seat.console.over
        assert seat.text() == before

    run_window(seat, script)


def test_pasted_text_does_nothing_while_readings_are_typed(seat: Seat) -> None:
    seat.press("t", "space")

    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        window.post_message(Paste("123\n456\n"))
        await pilot.pause()
        assert seat.console.controller._run.typed == []  # type: ignore[attr-defined]

    run_window(seat, script)


def test_a_line_pasted_into_a_field_is_one_line_without_anything_that_steers(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        prompt = await ask(window, pilot, seat, "x")
        prompt.query_one(Input).post_message(Paste(f"chip{STEERING} under it\nand more"))
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        seat.go(0.2)
        (reason,) = [
            one.event.reason
            for one in seat.console.runtime.session.capture().events
            if isinstance(one.event, TurnExcluded | WindowExcluded)
        ]
        assert re.fullmatch(r"[ -~]+", reason)
        assert "and more" not in reason

    run_window(seat, script)


@pytest.mark.parametrize("size", [(79, 24), (80, 23), (20, 5), (1, 1)])
def test_a_window_that_is_too_small_says_how_large_it_is_and_has_to_be(
    seat: Seat, size: tuple[int, int]
) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        window.frame()
        await pilot.pause()
        lines = window.text()
        assert [len(line) for line in lines] == [size[0]] * size[1]
        if size[0] >= 40:
            flat = " ".join(" ".join(lines).split())
            assert f"It has {size[0]} x {size[1]}, it needs 80 x 24." in flat
            assert "The recording goes on." in flat

    run_window(seat, script, size)
    assert goes_on(seat)


def test_keys_do_nothing_unseen_while_the_window_is_too_small(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        window.frame()
        await pilot.pause()
        await pilot.click(offset=(3, 9))
        assert seat.console.page == "turning"

    run_window(seat, script, (60, 10))


def test_resizing_again_and_again_while_it_draws_ends_as_it_should(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        for width, height in [(80, 24), (33, 7), (200, 60), (100, 24), (81, 25), (10, 60), (80, 24)] * 3:
            await pilot.resize_terminal(width, height)
            seat.go(0.05, analyse=False)
            window.frame()
        await pilot.pause()
        window.frame()
        assert [len(line) for line in window.text()] == [80] * 24
        assert "TIR   0.1" in "\n".join(window.text())

    run_window(seat, script)


def test_resizing_while_a_line_is_typed_keeps_what_is_typed(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        prompt = await ask(window, pilot, seat, "x")
        await pilot.press(*"chip")
        await pilot.resize_terminal(60, 20)
        await pilot.pause()
        await pilot.resize_terminal(120, 40)
        await pilot.pause()
        assert prompt.query_one(Input).value == "chip"

    run_window(seat, script)


def test_without_colours_nothing_is_said_by_colour_alone(seat: Seat, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")

    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        for page in "1246fhtw":
            seat.clock.now_s += 1.0
            await pilot.press(page)
            window.frame()
            await pilot.pause()
            for y in range(24):
                for segment in window.panel.render_line(y):
                    style = segment.style
                    assert style is not None
                    assert (style.color, style.bgcolor) == (None, None)

    run_window(seat, script)
    assert "over the entered limit" in " ".join(seat.text().split()) or seat.console.page != "turning"


def steers(text: str) -> bool:
    return any(not (character.isprintable() or character == "\n") for character in text)


def test_a_port_s_name_cannot_steer_the_terminal(tmp_path: Path) -> None:
    lines = [(k * 0.05, f"{k * 50_000} 0.00{k % 3}\n") for k in range(60)]
    rig = {"rig.line.pattern": r"^(?P<time>\d+) (?P<reading>-?\d+\.\d+)$"}
    seat = lines_seat(tmp_path, in_pieces(lines), rig, {})
    assert isinstance(seat.source, FedSource)
    seat.source.name = f"/dev/tty{STEERING}"
    seat.go(2.0)
    seat.console.runtime.send(LinkLost(GapCause.UNPLUGGED))
    for key in ("1", "2", "w"):
        seat.press(key)
        assert not steers(seat.text()), key
    seat.close()


def test_what_a_device_calls_its_channel_and_says_cannot_steer_the_terminal(tmp_path: Path) -> None:
    from logger.practice.bench.bench import Bench
    from logger.practice.stories.catalogue import scenario

    bench = Bench(scenario("wind-pump/as-found"))
    seat = practice_seat(tmp_path, bench=bench)
    seat.go(1.0)
    from logger.stream import LinkBytes
    from logger.wire.framing import encode_frame
    from logger.wire.messages import BoardError, Channel, Reply

    rogue = [
        Channel(900, 0, 0, 1, 0, 1000, 1, -(1 << 30), 1 << 30, "gau\x1b[2Jge"),
        Reply(901, 0, "9 ok \x1b]0;x\x07"),
        BoardError(902, 0, "9 err \x1b[31m"),
    ]
    worker = seat.console.runtime.worker
    for message in rogue:
        body = message.encode()
        worker._take(LinkBytes(seat.console.runtime.source.now(), encode_frame(body)))
    seat.go(0.5, analyse=False)
    for key in ("1", "2", "6", "h", "w"):
        seat.press(key)
        assert not steers(seat.text()), key
    seat.close()


def test_a_recording_s_name_and_its_set_up_cannot_steer_the_terminal(tmp_path: Path) -> None:
    path = tmp_path / "a\x1b[2Jb.mcap"
    shutil.copy(RECORDING, path)
    seat = recording_seat(path, tmp_path, follow=False)
    seat.go(1.0)
    assert not steers(seat.text())
    seat.console.runtime.worker._greeting.farewell()


def test_a_damaged_set_up_file_is_told_and_the_window_goes_on(seat: Seat, tmp_path: Path) -> None:
    from logger.settings import saved_setups as setups

    path = setups.file_of(seat.console.runtime.folders.config, "part", "wheel")
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("limit = ")

    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await ask(window, pilot, seat, "2", "space")
        assert "cannot be read as a set-up" in await type_line(window, pilot, "wheel")
        await pilot.press("escape")
        await pilot.pause()

    run_window(seat, script)
    seat.console.send(OpenPage("turning"))
    assert goes_on(seat)


def test_a_store_that_refuses_is_told_and_the_recording_goes_on(tmp_path: Path) -> None:
    (tmp_path / "data").mkdir(parents=True)
    from screens import settings_in

    store = Path(settings_in(tmp_path).store.value)
    store.mkdir(parents=True)  # a folder where the store's file should be
    seat = practice_seat(tmp_path)
    seat.turn(1)
    assert "the store refuses" in seat.text()
    assert goes_on(seat)
    seat.press("4")
    assert "4 Compare" in seat.text()
    seat.close()
    # What the command prints when the window is gone.
    words = seat.console.runtime.not_stored
    assert words.startswith("not stored: ")
    assert words.endswith(f"add with: fullturn store add {seat.console.runtime.recorder.path}")

"""The window in Textual, without a terminal: keys, typing, pasting, resizing, colours, clicks, palette."""

import re
from collections.abc import Awaitable, Callable, Sequence

import pytest
from rich.color import ColorTriplet
from screens import Seat, ShownWindow, run_window
from textual.pilot import Pilot
from textual.widgets import Input, Static

from logger.live.drawing.rows import ROLES, Span, changed_cells
from logger.screen.colours import Colours, Palette, palette_of
from logger.screen.prompt import PromptScreen

Script = Callable[[ShownWindow, Pilot[None]], Awaitable[None]]


async def settle(window: ShownWindow, pilot: Pilot[None], seat: Seat) -> str:
    """Let what was pressed come back through the worker, and return the text of the screen."""
    await pilot.pause()
    seat.go(0.1, analyse=False)
    window.frame()
    await pilot.pause()
    return "\n".join(window.text())


def test_the_window_shows_reading_tir_and_answer(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        text = await settle(window, pilot, seat)
        assert re.search(r"TIR +0\.1\d\d mm", text)
        assert "limit 0.050 mm" in text
        assert "█" in text

    run_window(seat, script)


def test_space_stars_and_u_takes_it_back(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await pilot.press("space")
        assert "★" in await settle(window, pilot, seat)
        for _ in range(2):
            seat.clock.now_s += 1.0
            await pilot.press("u")
            await settle(window, pilot, seat)
        assert "★" not in await settle(window, pilot, seat)

    run_window(seat, script)


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("2", "2 Set-up"),
        ("f6", "6 Numbers"),
        ("F", "What shall come under the tip?"),
        ("question_mark", "What keys do here"),
        ("w", "OVER THE ENTERED LIMIT"),
        ("t", "At how many places?"),
        ("o", "seen all round"),
        ("d", "1 Turning"),
        ("y", "1 Turning"),
        ("b", "bells off"),
        ("l", "L L unlocks"),
        ("z", "zeroed"),
        ("c", "high and low so far begin anew"),
        ("p", "only in a replay"),
        ("i", " in"),
        ("u", "back"),
    ],
)
def test_every_key_arrives(seat: Seat, key: str, words: str) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await pilot.press(key)
        assert words in await settle(window, pilot, seat)
        for again in [key] * {"l": 2, "b": 1, "d": 1, "y": 1, "o": 1, "i": 1}.get(key, 0):
            seat.clock.now_s += 1.0
            await pilot.press(again)
            await settle(window, pilot, seat)
            await settle(window, pilot, seat)

    run_window(seat, script)


def test_what_is_wrong_with_a_typed_line_is_said_and_it_stays_open(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await pilot.press("2", *["down"] * 5)
        seat.clock.now_s += 1.0
        await pilot.press("space")
        await settle(window, pilot, seat)
        assert isinstance(window.screen, PromptScreen)
        field = window.screen.query_one(Input)
        field.value = "0.05"
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(window.screen, PromptScreen)
        assert "has no unit" in str(window.screen.query_one("#words", Static).render())
        field.value = "0,05 mm"
        await pilot.press("enter")
        await settle(window, pilot, seat)
        assert not isinstance(window.screen, PromptScreen)
        assert seat.console.runtime.session.setup.text["limit"] == "0,05 mm"

    run_window(seat, script)


def test_keys_go_into_a_line_that_is_being_typed(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await pilot.press("x")
        await settle(window, pilot, seat)
        await pilot.press("z", "q", "space", "1")
        assert window.screen.query_one(Input).value == "zq 1"
        await pilot.press("escape")
        await pilot.pause()
        assert not seat.console.over

    run_window(seat, script)


def test_pasted_text_is_one_line_without_anything_that_steers(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        from textual.events import Paste

        window.post_message(Paste("q\nq\n" * 50))
        assert "1 Turning" in await settle(window, pilot, seat)
        assert not seat.console.over
        seat.clock.now_s += 1.0
        await pilot.press("x")
        await settle(window, pilot, seat)
        window.screen.query_one(Input).post_message(Paste("chip\x1b[2J under it\nand more"))
        await pilot.pause()
        await pilot.press("enter")
        text = await settle(window, pilot, seat)
        assert "\x1b" not in text
        assert "is left out: chip" in text

    run_window(seat, script)


@pytest.mark.parametrize("size", [(40, 10), (79, 24), (80, 24), (200, 60)])
def test_resizing_while_it_draws_ends_well(seat: Seat, size: tuple[int, int]) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await pilot.resize_terminal(*size)
        text = await settle(window, pilot, seat)
        assert ("this window is too small" in text) == (size[0] < 80 or size[1] < 24)
        await pilot.resize_terminal(80, 24)
        assert "TIR" in await settle(window, pilot, seat)

    run_window(seat, script)


def test_the_footer_can_be_clicked(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        line = (await settle(window, pilot, seat)).splitlines()[-1]
        await pilot.click(offset=(line.index("find"), 23))
        assert "What shall come under the tip?" in await settle(window, pilot, seat)

    run_window(seat, script)


def test_the_palette_has_every_command(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        titles = [command.title for command in window.get_system_commands(window.screen)]
        assert "Numbers  (6)" in titles
        assert "leave out  (X)" in titles
        await pilot.press("ctrl+p")
        await pilot.pause()
        assert len(window.screen_stack) == 2

    run_window(seat, script)


def test_without_colours_every_piece_still_has_a_style(seat: Seat, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")

    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        text = await settle(window, pilot, seat)
        assert "over the entered limit" in " ".join(text.split())
        assert all(segment.style is not None for y in range(24) for segment in window.panel.render_line(y))

    run_window(seat, script)


@pytest.mark.parametrize("palette", Palette)
@pytest.mark.parametrize("light", [False, True])
def test_over_a_doubt_and_refused_differ_on_every_terminal(palette: Palette, light: bool) -> None:
    found = Colours(light=light, palette=palette)
    assert all(found.style_of(role) is not None for role in (*ROLES, "unheard of"))
    styles = {role: found.style_of(role) for role in ("over", "doubt", "refused", "within")}
    assert len(set(styles.values())) == 4


@pytest.mark.parametrize("light", [False, True])
def test_every_word_has_a_contrast_of_seven(light: bool) -> None:
    # WCAG 2.1 (W3C, 2018), relative luminance and contrast ratio; 7:1 is success criterion 1.4.6.
    found = Colours(light=light)
    for role in ROLES:
        style = found.style_of(role)
        assert style.color is not None
        assert style.bgcolor is not None
        lights = sorted(_luminance(one.get_truecolor()) for one in (style.color, style.bgcolor))
        assert (lights[1] + 0.05) / (lights[0] + 0.05) >= 7.0, role


def _luminance(colour: ColorTriplet) -> float:
    parts = (one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in colour.normalized)
    return sum(share * part for share, part in zip((0.2126, 0.7152, 0.0722), parts, strict=True))


@pytest.mark.parametrize(
    ("system", "terminal", "no_color", "palette"),
    [
        ("truecolor", "xterm-256color", False, Palette.MANY),
        ("256", "screen-256color", False, Palette.MANY),
        ("standard", "xterm-16color", False, Palette.SIXTEEN),
        ("standard", "linux", False, Palette.EIGHT),
        ("truecolor", "xterm", True, Palette.NONE),
        (None, "dumb", False, Palette.NONE),
    ],
)
def test_the_palette_is_what_the_terminal_can_show(
    system: str | None, terminal: str, no_color: bool, palette: Palette
) -> None:
    assert palette_of(system, terminal, no_color=no_color) is palette


def test_a_frame_in_which_nothing_changed_paints_nothing(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await settle(window, pilot, seat)
        before = window.panel.painted
        window.frame()
        assert window.panel.painted == before

    run_window(seat, script)


@pytest.mark.parametrize(
    ("before", "now", "cells"),
    [
        ([("abc", "plain")], [("abc", "plain")], None),
        ([("abc", "plain")], [("a", "plain"), ("bc", "plain")], None),
        ([("abc", "plain")], [("axc", "plain")], (1, 2)),
        ([("abc", "plain")], [("ab", "plain"), ("c", "over")], (2, 3)),
        ([("宽b", "plain")], [("宽c", "plain")], (2, 3)),
        ([("宽b", "plain")], [("长b", "plain")], (0, 2)),
        ([("ab", "plain")], [("abcd", "plain")], (2, 4)),
        ([("e\u0301b", "plain")], [("eb", "plain")], (0, 1)),
    ],
)
def test_only_cells_that_changed_are_painted(
    before: Sequence[Span], now: Sequence[Span], cells: tuple[int, int] | None
) -> None:
    assert changed_cells(tuple(before), tuple(now)) == cells


def test_a_row_painted_in_part_looks_as_painted_whole(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        for key in ("i", "i", "2", "down", "1", "w", "w"):
            await pilot.press(key)
            seat.clock.now_s += 1.0
            await settle(window, pilot, seat)
        assert _on_the_screen(window) == window.text()

    run_window(seat, script)


def _on_the_screen(window: ShownWindow) -> list[str]:
    strips = window.screen._compositor.render_strips()
    return [strip.text for strip in strips]


def test_q_twice_ends_the_window(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        for _ in range(2):
            assert not seat.console.over
            seat.clock.now_s += 1.0
            await pilot.press("q")
            await settle(window, pilot, seat)
        await settle(window, pilot, seat)
        assert seat.console.over

    run_window(seat, script)

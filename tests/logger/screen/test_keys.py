"""Every key of every command arrives and does its own thing, in the window itself."""

import pytest
from hands import seat_by_hand
from screens import Seat, ShownWindow, practice_seat, run_window
from textual.command import CommandList
from textual.pilot import Pilot

from analysis.capture.events import ButtonPressed
from logger.live.controllers.window_intents import OpenPage
from logger.live.key_bindings import BY_NAME, KEY_COMMANDS, command_of
from logger.screen.prompt import PromptScreen

pytestmark = pytest.mark.slow  # a bench, a worker and a window a case

WORDS = {
    "next": "turn 2 has a star",
    "mark": "the part's mark is here",
    "arbor": "is for steps on the lathe",
    "zero": "zeroed",
    "find": "What shall come under the tip?",
    "turning": "1 Turning",
    "setup": "2 Set-up",
    "steps": "3 Steps",
    "compare": "4 Compare",
    "owner": "5 Owner",
    "numbers": "6 Numbers",
    "clear": "high and low so far begin anew",
    "name": "Name of this recording",
    "leave-out": "Leave out turn ",
    "lock": "L L unlocks",
    "bells": "bells off",
    "wall": "OVER THE ENTERED LIMIT",
    "typed": "At how many places?",
    "batch": "7 Batch",
    "pause": "pause: only in a replay",
    "step": "step: only in a replay",
    "faster": "faster: only in a replay",
    "slower": "slower: only in a replay",
    "jump": "jump: only in a replay",
    "help": "What keys do here",
}
"""What stands on the screen after the key, pressed after two or three full turns, the mark's while it stands."""
LOOKS = {
    "units": ("unit", "in"),
    "round": ("round", True),
    "light": ("light", True),
    "thick": ("thick", True),
}
"""What has changed about the way of looking."""
ELSEWHERE = ("undo", "quit", "back", "up", "down", "left", "right", "screws")
"""Tested below, each where it means something; ``screws`` with the screws."""


async def press(window: ShownWindow, pilot: Pilot[None], seat: Seat, *keys: str) -> str:
    """Press keys slowly, let them come back through the worker, and return what is shown."""
    for key in keys:
        seat.clock.now_s += 1.0
        await pilot.press(key)
        seat.go(0.1, analyse=False)
        window.frame()
        await pilot.pause()
    prompt = window.screen
    title = str(prompt.query_one("#title").render()) if isinstance(prompt, PromptScreen) else ""
    return "\n".join([*window.text(), title])


def test_every_command_has_its_key_tested() -> None:
    tested = {*WORDS, *LOOKS, *ELSEWHERE}
    assert [
        command.name
        for command in KEY_COMMANDS
        if command.name not in tested and "steps" not in command.pages
    ] == []


@pytest.mark.parametrize(
    ("name", "key"),
    [(command.name, key) for command in KEY_COMMANDS if command.name in WORDS for key in command.keys],
)
def test_a_key_does_what_help_says(tmp_path_factory: pytest.TempPathFactory, seat: Seat, name: str, key: str):
    own = None
    if name == "next":
        own = practice_seat(tmp_path_factory.mktemp("own"))
        own.turn(2)
    elif name == "mark":
        _, own = seat_by_hand(tmp_path_factory.mktemp("own"))
    there = own or seat

    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        assert WORDS[name] in await press(window, pilot, there, key)

    run_window(there, script)
    if own is not None:
        own.close()


@pytest.mark.parametrize("name", LOOKS)
def test_a_way_of_looking_changes_with_its_key_and_back(seat: Seat, name: str) -> None:
    key = next(command.keys[0] for command in KEY_COMMANDS if command.name == name)
    field, value = LOOKS[name]
    before = getattr(seat.console.options, field)

    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await press(window, pilot, seat, key)
        assert getattr(seat.console.options, field) == value != before
        await press(window, pilot, seat, key)
        assert getattr(seat.console.options, field) == before

    run_window(seat, script)


@pytest.mark.parametrize("keys", ["q q", "Q q", "ctrl+q ctrl+q", "ctrl+c ctrl+c", "q ctrl+c"])
def test_the_window_ends_at_the_second_press(seat: Seat, keys: str) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        first, second = keys.split()
        assert "Q again ends. Kept: " in await press(window, pilot, seat, first)
        assert not seat.console.over
        await press(window, pilot, seat, second)
        seat.go(0.2)
        assert seat.console.over

    run_window(seat, script)


def test_two_clicks_on_quit_end_the_window(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        line = (await press(window, pilot, seat, "shift+f9")).splitlines()[23]
        for _ in range(2):
            assert not seat.console.over
            seat.clock.now_s += 1.0
            await pilot.click(offset=(line.index("quit"), 23))
            await pilot.pause()
        seat.go(0.2)
        assert seat.console.over

    run_window(seat, script)


def test_ctrl_c_leaves_what_is_typed_and_asks(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await press(window, pilot, seat, "r")
        assert isinstance(window.screen, PromptScreen)
        await pilot.press("8", "ctrl+c")
        assert "Q again ends. Kept: " in await press(window, pilot, seat)
        assert seat.console.runtime.state.named is None
        await press(window, pilot, seat, "ctrl+c")
        seat.go(0.2)
        assert seat.console.over

    run_window(seat, script)


@pytest.mark.parametrize(("key", "chosen"), [("down", 1), ("up", -1)])
def test_up_and_down_choose_a_line(seat: Seat, key: str, chosen: int) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await press(window, pilot, seat, "6", key)
        controller = seat.console.controller
        assert controller.chosen == chosen % controller.size()

    run_window(seat, script)


def test_arrows_may_be_held(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await press(window, pilot, seat, "6")
        await pilot.press(*["down"] * 5)  # all at one moment of the clock
        assert seat.console.controller.chosen == 5

    run_window(seat, script)


def test_right_and_left_take_the_value_after_and_before(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await press(window, pilot, seat, "2", "down", "down", "right")
        assert seat.console.runtime.session.setup.surface == "outside"
        await press(window, pilot, seat, "left")
        assert seat.console.runtime.session.setup.surface == "face"

    run_window(seat, script)


@pytest.mark.parametrize("key", ["escape", "backspace"])
@pytest.mark.parametrize("page", ["2", "4", "6", "f", "h", "t", "w"])
def test_back_leads_to_turning(seat: Seat, key: str, page: str) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await press(window, pilot, seat, page)
        assert "1 Turning" in await press(window, pilot, seat, key)

    run_window(seat, script)


def test_back_closes_a_formula_before_it_leaves_the_page(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        assert "show me ─" in await press(window, pilot, seat, "6", "space")
        text = await press(window, pilot, seat, "escape")
        assert "6 Numbers" in text
        assert "show me ─" not in text

    run_window(seat, script)


def test_a_key_held_for_three_seconds_is_one_press(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        for _ in range(100):
            seat.clock.now_s += 0.03
            await pilot.press("b")
        assert seat.console.bells is False

    run_window(seat, script)


def test_while_locked_only_l_does_anything(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        text = await press(window, pilot, seat, "l", "z", "2", "q", "q", "ctrl+c", "ctrl+c", "space")
        seat.go(0.5)
        assert not seat.console.over
        assert seat.console.page == "turning"
        assert text.splitlines()[23].strip() == "LOCKED   L L unlocks"
        await pilot.click(offset=(2, 23))
        assert seat.console.page == "turning"
        assert "L again unlocks" in await press(window, pilot, seat, "shift+f9")
        assert "keys unlocked" in await press(window, pilot, seat, "l", "shift+f9")

    run_window(seat, script)


@pytest.mark.parametrize("label", ["SPACE", "mark", "zero", "find", "quit", "help"])
def test_every_label_of_the_footer_can_be_clicked_with_a_knuckle(label: str, seat: Seat) -> None:
    done: list[str] = []
    seat.console.do = done.append  # type: ignore[method-assign]

    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await press(window, pilot, seat, "shift+f9")  # a key of no command
        line = window.text()[-1]
        await pilot.click(offset=(line.index(label) + 1, 23))

    try:
        run_window(seat, script)
    finally:
        del seat.console.do  # type: ignore[method-assign]
    assert done == ["next" if label == "SPACE" else label]


def test_a_click_anywhere_else_does_nothing(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await pilot.click(offset=(30, 10))
        await pilot.click(offset=(66, 23))
        assert seat.console.page == "turning"

    run_window(seat, script)


def test_the_boards_button_is_no_answer_to_what_is_being_typed(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await press(window, pilot, seat, "6", "x")
        seat.console.runtime.post(ButtonPressed(1, 0))
        window.frame()
        await pilot.pause()
        assert isinstance(window.screen, PromptScreen)
        assert seat.console.page == "numbers"
        assert seat.console.controller.opened is False  # type: ignore[attr-defined]

    run_window(seat, script)


def test_the_palette_does_a_command(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        await pilot.press("ctrl+p")
        await pilot.pause()
        await pilot.press(*"wall")
        await window.workers.wait_for_complete()
        found = window.screen.query_one(CommandList)
        for _ in range(500):
            await pilot.pause(0.01)
            if found.option_count:
                break
        await pilot.press("enter")
        for _ in range(500):
            await pilot.pause(0.01)
            if seat.console.page == "wall":
                break
        assert seat.console.page == "wall"

    run_window(seat, script)


def command_names(keys: str) -> set[str]:
    """Return the names of the commands of some keys."""
    return {command.name for key in keys.split() if (command := command_of(key)) is not None}


@pytest.mark.parametrize(
    ("page", "here"), [("turning", "space m z f q h"), ("steps", "g n k e v pageup"), ("setup", "left up")]
)
def test_the_first_page_of_help_has_the_keys_of_where_it_was_opened(seat: Seat, page: str, here: str) -> None:
    seat.console.send(OpenPage(page))
    seat.press("h")
    lines = seat.text().splitlines()
    assert lines[1].strip() == "What keys do here"
    listed = [line for line in lines[2:22] if line.strip()]
    assert len(listed) <= 16
    for name in command_names(here) - {"next", "help"}:
        assert any(BY_NAME[name].help in line for line in listed), name
    seat.press("h")
    assert seat.console.page == page


def test_every_command_stands_in_help_and_palette(seat: Seat) -> None:
    async def script(window: ShownWindow, pilot: Pilot[None]) -> None:
        named = " ".join(command.title for command in window.get_system_commands(window.screen))
        seat.press("1", "h")
        seen = ""
        for _ in range(3):
            seen += seat.text()
            seat.console.controller.primary()
        assert seat.console.page == "turning"
        numbered = command_names("1 2 3 4 5 6 7")
        for command in KEY_COMMANDS:
            listed = command.help in seen or command.name in numbered or command.name == "next"
            assert listed or command.replay_only, command.name
            walking = command.name in ("up", "down", "left", "right", "back")
            assert walking or command.label in named, command.name

    run_window(seat, script)

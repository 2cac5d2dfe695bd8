"""Every page on the virtual bench, without any screen: its key, its words, its size."""

import re
from pathlib import Path

import pytest
from hands import seat_by_hand
from screens import Seat, practice_seat

from logger.live.controllers.command_intents import INTENTS
from logger.live.controllers.window_intents import OpenPage, TogglePage
from logger.live.drawing.display_options import DisplayOptions
from logger.live.key_bindings import BY_NAME

pytestmark = pytest.mark.slow  # a bench and a worker a case


@pytest.mark.parametrize("stage", ["as found", "on the lathe"])
def test_the_footer_has_all_its_keys_at_80_columns(tmp_path: Path, stage: str) -> None:
    seat = practice_seat(tmp_path, override={"stage": stage})
    for at_s in (0.0, 1.0):
        if at_s:
            seat.go(at_s)
        line = seat.text().splitlines()[-1]
        lathe = [" A arbor"] if stage == "on the lathe" else []
        for label in (" SPACE ", " M mark", *lathe, " Z zero", " F find", " Q quit", " H help"):
            assert label in line
    seat.close()


def test_inches_are_on_every_number_at_once(seat: Seat) -> None:
    seat.turn(1)
    seat.press("I")
    text = seat.text()
    assert re.search(r"TIR +0\.00\d+ in", text)
    assert "the indicator shows 0.05" in text


@pytest.mark.parametrize(
    ("key", "title"),
    [("1", "1 Turning"), ("2", "2 Set-up"), ("4", "4 Compare"), ("6", "6 Numbers"), ("f", "Find"),
     ("h", "Help"), ("f2", "2 Set-up"), ("t", "Typed readings"), ("3", "3 Steps"), ("5", "5 Owner"),
     ("s", "Screws")],
)  # fmt: skip
def test_every_page_has_its_key(seat: Seat, key: str, title: str) -> None:
    seat.go(0.5)
    seat.press(key)
    assert title in seat.text().splitlines()[0]


def test_every_command_asks_for_something_and_every_page_that_is_opened_is_there(seat: Seat) -> None:
    assert set(INTENTS) == set(BY_NAME)
    opened = {one.name for one in INTENTS.values() if isinstance(one, OpenPage | TogglePage)}
    assert opened <= set(seat.console.controllers)


def test_a_number_opens_into_its_formula_with_its_values(seat: Seat) -> None:
    seat.turn(2)
    seat.press("6", "down", "down", "space")
    text = seat.text()
    assert "2 A1, A1 = root(a1 squared + b1 squared)" in text
    assert re.search(r"A1 = 0\.07\d+ mm, 2 A1 = 0\.14\d+ mm", text)


def test_every_number_opens_into_a_formula_that_ends_in_its_value(seat: Seat) -> None:
    seat.turn(3)
    seat.press("6")
    found = seat.console.controller._found()  # type: ignore[attr-defined]
    assert len(found) >= 15
    for one in found:
        figures = re.findall(r"\d+\.\d+|\d+", one.value)
        formula = " ".join(one.show_me)
        assert not figures or any(figure[:4] in formula for figure in figures), one.name
        assert len(one.show_me) >= 2, one.name


def test_every_angle_says_whose_it_is(tmp_path: Path) -> None:
    for mark_on in ("part", "arbor"):
        seat = practice_seat(tmp_path / mark_on, override={"mark_on": mark_on})
        seat.turn(3)
        assert f"{mark_on} at " in seat.text()
        assert f"past the {mark_on}'s mark" in " ".join(seat.text().split())
        seat.press("6")
        assert re.search(rf"high side \(which way\) +\d+\.\d deg on the {mark_on}", seat.text())
        seat.press("w")
        assert re.search(rf"HIGH POINT \d+ DEG \(\d+ TO \d+\) ON THE {mark_on.upper()}", seat.text())
        seat.press("w", "f")
        assert f"past the {mark_on}'s mark" in seat.text()
        seat.close()


def test_two_stored_turns_are_compared_with_their_difference(seat: Seat) -> None:
    seat.turn(2)
    seat.press("4", "down", "space", "up", "enter")
    text = seat.text()
    assert "changed by 0.0" in text
    assert "same set-up: comparable" in text
    assert "difference, after less before" in text


def test_the_wall_view_says_it_in_words(seat: Seat) -> None:
    seat.turn(3)
    seat.press("w")
    text = seat.text()
    assert "OVER THE ENTERED LIMIT" in text
    assert re.search(r"HIGH POINT \d+ DEG \(\d+ TO \d+\) ON THE PART", text)
    seat.press("escape")
    assert "1 Turning" in seat.text()


def test_find_offers_the_spots_of_the_sweep_and_the_holes(seat: Seat) -> None:
    seat.turn(1)
    seat.press("f")
    text = seat.text()
    for name in ("high point", "high side", "low point", "hole 6", "the mark"):
        assert name in text
    seat.press("space")
    assert re.search(r"to go, (counter-)?clockwise|HERE", seat.text())


def test_typed_readings_are_asked_place_by_place(seat: Seat) -> None:
    seat.go(0.5)
    seat.press("t", "space")
    for line in ("0", "0.03", "-0.02", "0.03", "0"):
        for character in line:
            seat.console.key(character, seat.clock.now_s)
        seat.console.key("enter", seat.clock.now_s)
    text = " ".join(seat.text().split())
    assert "0.050 mm" in text
    assert "4 places can miss up to 29 %" in text


def test_ascii_has_no_other_glyphs(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, options=DisplayOptions(ascii_only=True))
    seat.turn(1)
    seat.press("space")
    for key in ("1", "2", "4", "6", "f", "h", "w"):
        seat.press(key)
        assert seat.text().isascii(), key
        seat.press("escape")
    seat.close()


@pytest.mark.parametrize("size", [(80, 24), (100, 30), (120, 40), (200, 60)])
def test_every_page_fills_every_size_exactly(tmp_path: Path, size: tuple[int, int]) -> None:
    seat = practice_seat(tmp_path)
    seat.turn(1)
    for key in ("1", "2", "4", "6", "f", "h", "t", "w"):
        seat.press(key)
        lines = seat.text(*size).split("\n")
        assert (len(lines), {len(line) for line in lines}) == (size[1], {size[0]}), key
        seat.press("escape")
    seat.close()


def test_a_window_that_is_too_small_says_how_large(seat: Seat) -> None:
    seat.go(0.5)
    text = " ".join(seat.text(60, 20).split())
    assert "It has 60 x 20, it needs 80 x 24." in text


def test_names_from_devices_and_files_steer_nothing(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, override={"part": "flange\x1b[2J\x07"})
    seat.go(0.5)
    for key in ("1", "2"):
        seat.press(key)
        assert "\x1b" not in seat.text()
        assert "\x07" not in seat.text()
    seat.close()


def test_the_check_walks_through_its_five_parts(tmp_path: Path) -> None:
    _, seat = seat_by_hand(tmp_path)
    seat.press("2", "up", "up", "space")
    assert "Touch nothing" in seat.text()
    seat.press("space")
    seat.go(5.0)
    assert "Tap the stand lightly" in seat.text()
    seat.press("space", "space", "space", "space")
    seat.enter("0.5 mm")
    assert len(seat.console.controllers["check"].run.done) == 5  # type: ignore[attr-defined]
    seat.close()

"""Dialling in by screws: what the indicator has to read at each, and the page that leads from one to the next."""

import math
from pathlib import Path

import pytest
from hands import seat_by_hand
from screens import Seat, practice_seat

from analysis.correction.adjustment import adjust
from analysis.errors import BadInput
from analysis.setup import parse_setup
from logger.live.tools.adjusting import AdjustmentGuide, angles_of, direction_words, typed_angles

ECCENTRIC = [0.012 * complex(math.cos(math.radians(77)), math.sin(math.radians(77)))]
SCREWS = (0.0, 120.0, 240.0)
MOVES_MM = (-0.0027, -0.0088, 0.0115)


def run(surface: str = "outside") -> AdjustmentGuide:
    return AdjustmentGuide(adjust(ECCENTRIC, SCREWS, surface="outside"), surface, 0.001)


def test_the_moves_are_those_of_the_command() -> None:
    # Printed to a tenth of a micrometre.
    assert [one.move_mm for one in run().found.moves] == pytest.approx(MOVES_MM, abs=6e-5)


def test_the_indicator_has_to_read_the_start_and_the_move() -> None:
    guide = run()
    guide.press(0.400)
    assert guide.target_reading_mm() == pytest.approx(0.3973, abs=6e-5)
    assert guide.still_mm(0.399) == pytest.approx(-0.0017, abs=6e-5)


def test_in_a_bore_the_reading_goes_the_other_way() -> None:
    guide = run("bore")
    guide.press(0.400)
    assert guide.target_reading_mm() == pytest.approx(0.4027, abs=6e-5)


def test_there_is_within_one_step_of_the_gauge() -> None:
    guide = run()
    guide.press(0.400)
    assert (guide.there(0.399), guide.there(0.397)) == (False, True)


def test_each_screw_follows_the_one_before_until_all_are_done() -> None:
    guide = run()
    at = []
    while not guide.over:
        at.append(guide.at)
        guide.press(0.4)
        guide.press(0.4)
    assert at == [0, 1, 2]


def test_another_screw_can_be_taken_first() -> None:
    guide = run()
    guide.choose(-1)
    guide.press(0.4)
    guide.press(0.4)
    assert (guide.at, guide.done) == (0, {2})


def test_shims_under_a_face_are_not_told_by_the_reading() -> None:
    guide = run("face")
    guide.press(0.4)
    assert (guide.start_mm, guide.done) == (None, {0})


def test_which_way_is_said_in_words() -> None:
    words = [direction_words(mm, "outside") for mm in (-0.1, 0.1)]
    assert words == ["turn in, toward the axis", "back off, away from the axis"]


def test_screws_come_from_the_set_up_else_from_the_holes() -> None:
    assert angles_of(parse_setup({"holes": "4"})) == (0.0, 90.0, 180.0, 270.0)
    assert angles_of(parse_setup({"holes": "4", "screws": "0 120 240"})) == SCREWS


def test_fewer_than_two_angles_are_refused() -> None:
    with pytest.raises(BadInput, match="two or more"):
        typed_angles("30")


def worm(tmp_path: Path, screws: str) -> Seat:
    seat = practice_seat(tmp_path, "telescope-worm/as-found", override={"screws": screws})
    seat.turn(3)
    return seat


def test_the_page_leads_to_a_screw_and_says_what_to_read(tmp_path: Path) -> None:
    hand, seat = seat_by_hand(tmp_path, "telescope-worm/as-found", screws="0 120 240")
    hand.turn(seat, 2.2)
    seat.press("s")
    assert "Go to screw 1" in seat.text()
    place = seat.console.controllers["screws"]._finder._stop_at_deg / 360.0  # type: ignore[attr-defined]
    hand.turn(seat, (place - hand.turns) % 1.0)
    assert "Screw 1 is under the tip" in seat.text()
    seat.press("space")
    assert "Screw 1: turn in, toward the axis until the indicator reads" in seat.text()
    hand.turn(seat, 0.3)
    assert "away from screw 1: turn it back first" in " ".join(seat.text().split())
    seat.press("down", "down")
    assert "Go to screw 3" in seat.text()
    seat.close()


def test_without_screws_their_angles_are_asked(tmp_path: Path) -> None:
    seat = worm(tmp_path, "")
    seat.press("s")
    assert "SPACE asks where they stand" in seat.text()
    seat.press("space")
    seat.enter("0,120,240")
    assert "screw 3" in seat.text()
    seat.close()


def test_other_angles_are_typed_at_any_time(tmp_path: Path) -> None:
    seat = worm(tmp_path, "0 120 240")
    seat.press("s", "e")
    seat.enter("45 165 285")
    assert "at  45.0 deg" in seat.text()
    seat.press("k")
    assert "only in Steps (3)" in seat.text()
    seat.close()


def test_before_a_sweep_there_is_nothing_to_dial_in(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, "telescope-worm/as-found")
    seat.go(1.0)
    seat.press("s")
    assert "No sweep yet" in seat.text()
    seat.close()


def test_a_face_asks_for_the_radius_of_its_shims(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path)
    seat.turn(2)
    seat.press("s", "space")
    seat.enter("95 mm")
    assert "Put 0." in seat.text()
    seat.close()

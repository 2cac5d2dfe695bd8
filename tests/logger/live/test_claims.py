"""What may be said of the part now, asked by every page, the wall and the bell."""

import re
from dataclasses import replace
from pathlib import Path

import pytest
from live_values import live_state, turn_ended
from screens import Seat, practice_seat

from analysis.capture.events import GapCause, LinkLost, SweepBroken, TurnStarred
from analysis.sweep import analyse
from logger.inputs import typed_capture
from logger.live.drawing.large_digits import big
from logger.live.pages.wall import SHORT
from logger.live.state.claims import Claim, claims_of
from logger.live.state.effects import RingBells
from logger.live.state.messages import AnalysisDone
from logger.live.state.state import LiveState
from logger.live.state.sweep_so_far import SweepSoFar
from logger.live.state.update import update

HIGH = "0:+0.05 45:+0.035 90:0 135:-0.035 180:-0.05 225:-0.035 270:0 315:+0.035 360:+0.05 mm"
"""A part 0.1 mm out of true, as eight places of a dial tell it."""


def analysed(limit: str, readings: str = HIGH) -> SweepSoFar:
    setup = {"limit": limit} if limit else {}
    return SweepSoFar(analyse(typed_capture(readings, setup)), "", None, None, None)


def with_analysis(limit: str, readings: str = HIGH) -> LiveState:
    return replace(live_state(setup={"limit": limit} if limit else {}), analysis=analysed(limit, readings))


@pytest.mark.parametrize(
    ("limit", "claim", "decided"),
    [
        ("0.5 mm", Claim.WITHIN, True),
        ("0.02 mm", Claim.OVER, True),
        ("0.1 mm", Claim.UNDECIDED, False),
        ("", Claim.MEASURED, False),
    ],
)
def test_a_distance_to_the_limit_comes_from_the_decision_alone(
    limit: str, claim: Claim, decided: bool
) -> None:
    found = claims_of(with_analysis(limit), live=True)
    assert found.claim is claim
    assert (found.by_mm is not None) == decided


def test_what_breaks_the_tir_takes_the_verdict_with_it() -> None:
    state = with_analysis("0.02 mm")
    broken = update(state, SweepBroken("somebody pressed in/mm"))[0]
    found = claims_of(broken, live=True)
    assert (found.claim, found.cause, found.tells_numbers) == (Claim.BROKEN, "somebody pressed in/mm", False)


def test_while_nothing_comes_nothing_is_said_as_if_it_were_live() -> None:
    state = with_analysis("0.02 mm")
    gone = update(state, LinkLost(GapCause.UNPLUGGED))[0]
    assert claims_of(gone, live=False).claim is Claim.LOST
    assert claims_of(replace(state, ended=True), live=False).claim is Claim.OVER  # a sweep that was ended


@pytest.mark.parametrize(("limit", "bells"), [("0.5 mm", []), ("0.1 mm", []), ("0.02 mm", [2]), ("", [])])
def test_the_bell_rings_twice_once_it_is_decided_that_the_part_is_over(limit: str, bells: list[int]) -> None:
    state = live_state(setup={"limit": limit} if limit else {})
    after, wanted = update(state, AnalysisDone(analysed(limit)))
    assert [one.times for one in wanted if isinstance(one, RingBells)] == bells
    _, again = update(update(after, turn_ended(1))[0], AnalysisDone(analysed(limit)))
    assert not [one for one in again if isinstance(one, RingBells)]


@pytest.mark.parametrize("word", SHORT.values())
def test_every_word_of_the_wall_has_all_its_letters_drawn(word: str) -> None:
    for letter in word.replace(" ", ""):
        assert "█" in "".join(big(letter))


# --- on the pages ------------------------------------------------------------------------------------


def pages(seat: Seat) -> tuple[str, str]:
    """Return the page Turning and the wall, blanks taken together."""
    found = []
    for name in ("turning", "wall"):
        seat.console.page = name
        found.append(" ".join(seat.text().split()))
    seat.console.page = "turning"
    return found[0], found[1]


@pytest.mark.slow
def test_from_the_break_on_no_page_has_a_number_of_the_part(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, fault="unit-pressed")
    for _ in range(400):
        seat.go(0.1, analyse=False)
        if seat.console.runtime.state.sweep.broken:
            break
    for _ in range(8):
        for text in pages(seat):
            assert not re.search(r"TIR 0|under by|over by|high point \d|HIGH POINT \d", text)
            assert "in/mm" in text
        assert "BROKEN" in pages(seat)[0]
        seat.press("space")
        seat.go(3.0)
    assert not [one for one in seat.console.runtime.session._events if isinstance(one[0], TurnStarred)]
    seat.close()


@pytest.mark.slow
@pytest.mark.parametrize("fault", ["lost-counts", "tip-off"])
def test_a_refused_sweep_says_so_with_its_cause_and_remedy_whole(tmp_path: Path, fault: str) -> None:
    seat = practice_seat(tmp_path, "wind-pump/as-left", fault=fault)
    seat.turn(3)
    claims = seat.console.runtime.view().claims
    assert claims.claim is Claim.REFUSED
    assert "REFUSED" in pages(seat)[0]
    for text in pages(seat):
        assert not re.search("under by|over by", text)
        assert claims.cause in text
        assert claims.remedy in text
    seat.close()


@pytest.mark.slow
def test_what_is_not_decided_has_no_distance_and_its_reason_whole(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, override={"limit": "0.146 mm"})
    seat.turn(3)
    claims = seat.console.runtime.view().claims
    text, wall = pages(seat)
    assert claims.claim is Claim.UNDECIDED
    assert claims.cause in text
    assert not re.search("under by|over by", text + wall)
    seat.close()


@pytest.mark.slow
def test_a_pulled_plug_takes_verdict_speed_and_star(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path, fault="unplug")
    for _ in range(400):
        seat.go(0.1)
        if "board gone" in seat.text():
            break
    for text in pages(seat):
        assert not re.search(r"TIR 0|entered limit 0|rpm|past the tip|seen all round|star", text)
    seat.close()


@pytest.mark.slow
def test_one_angle_is_said_to_be_high_on_page_and_wall(tmp_path: Path) -> None:
    seat = practice_seat(tmp_path)
    seat.turn(3)
    result = seat.console.runtime.view().result
    assert result is not None
    said = [
        float(deg)
        for text in pages(seat)
        for deg in re.findall(r"high (?:point|side) (\d+) deg", text, re.IGNORECASE)
    ]
    assert len(said) >= 3
    assert set(said) == {round(result.pooled.high_point.value)}
    seat.close()

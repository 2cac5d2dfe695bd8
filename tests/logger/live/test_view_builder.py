"""What a page is painted from, of states made by hand: what is wrong in words, and what is known of the angle."""

import math
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from live_values import finished_turn, live_state

from analysis.capture.angle_source import AngleSource
from analysis.errors import LinkError
from logger.live.state.reading import BoardReport, LiveReading
from logger.live.state.state import Display, LinkState, LiveState, Role, SweepState
from logger.live.state.stop_places import StopPlaces
from logger.live.state.sweep_so_far import SweepSoFar
from logger.live.state.view import Moment, View
from logger.live.state.view_builder import view_of

SECOND = 10**9


def seen(state: LiveState, now_ns: int = SECOND, today: date = date(2026, 1, 1)) -> View:
    return view_of(replace(state, now_ns=now_ns), Moment(12.0, today))


def with_board(state: LiveState, **changes: object) -> LiveState:
    return replace(state, board=replace(state.board, **changes))  # type: ignore[arg-type]


def with_reading(state: LiveState, **changes: object) -> LiveState:
    return replace(state, reading=replace(state.reading, **changes))  # type: ignore[arg-type]


def test_while_all_is_well_nothing_is_wrong() -> None:
    view = seen(live_state())
    assert (view.live, view.words) == (True, "")


TROUBLE = [
    (replace(live_state(), ended=True), SECOND, False, "the recording has ended"),
    (replace(live_state(), ended=True, error=LinkError("port gone")), SECOND, False, "port gone"),
    (replace(live_state(Role.REPLAY), ended=True), SECOND, True, "the recording has ended"),
    (replace(live_state(), link=LinkState.GONE), SECOND, False, "board gone: plug it in"),
    (
        with_board(replace(live_state(), link=LinkState.RESTARTED), count=None),
        SECOND,
        False,
        "board restarts",
    ),
    (replace(live_state(), link=LinkState.RESTARTED), SECOND, True, "press M"),
    (replace(live_state(), reading=LiveReading()), SECOND, False, "waiting for the board"),
    (
        with_board(replace(live_state(), reading=LiveReading()), problem="no answer"),
        SECOND,
        False,
        "no answer",
    ),
    (live_state(), 2 * SECOND, False, "indicator asleep"),
    (live_state(), 3 * SECOND, False, "board gone: nothing comes any more"),
    (live_state(Role.FOLLOW), 3 * SECOND, False, "has the window that owns the port gone"),
]


@pytest.mark.parametrize(("state", "now_ns", "live", "words"), TROUBLE)
def test_what_is_wrong_is_said_in_words(state: LiveState, now_ns: int, live: bool, words: str) -> None:
    view = seen(state, now_ns)
    assert view.live == live
    assert words in view.words


@pytest.mark.parametrize(
    ("period_s", "silent_s", "live"),
    [(None, 1.9, True), (None, 2.1, False), (0.1, 0.45, True), (0.1, 0.55, False), (0.5, 1.4, True)],
)
def test_silence_is_three_of_the_gauges_own_periods_and_half_a_second_at_least(
    period_s: float | None, silent_s: float, live: bool
) -> None:
    state = with_reading(live_state(), period_s=period_s)
    assert seen(state, round((1.0 + silent_s) * SECOND)).live == live


def test_an_angle_is_carried_on_over_its_age_and_no_further_than_that() -> None:
    state = with_reading(live_state(), newest_speed_rad_s=1.0)
    for age_s, more in ((0.1, 0.1), (0.4, 0.15)):
        angle = seen(state, round((1.0 + age_s) * SECOND)).angle_deg
        assert angle == pytest.approx(math.degrees(0.5 + more))
    stopped = replace(state, link=LinkState.GONE)
    assert seen(stopped, round(1.1 * SECOND)).angle_deg == pytest.approx(math.degrees(0.5))


ANGLES = [
    (live_state(), ""),
    (with_board(live_state(), two_ports=True), "second port"),
    (with_board(live_state(), angle_source=AngleSource.INDEX), "time between marks"),
    (
        with_board(with_reading(live_state(), angle_rad=None), angle_source=AngleSource.INDEX),
        "mark has passed twice",
    ),
    (
        with_board(live_state(setup={"places": "4"}), angle_source=AngleSource.STOPS),
        "stand still at place 1 of 4",
    ),
    (with_board(live_state(), angle_source=AngleSource.STEADY), "period of the spin"),
    (with_board(live_state(), angle_source=AngleSource.NONE), "nothing tells the angle"),
    (replace(live_state(), reading=LiveReading()), ""),
]


@pytest.mark.parametrize(("state", "words"), ANGLES)
def test_what_is_to_be_known_of_the_angle_is_said(state: LiveState, words: str) -> None:
    note = seen(state).angle_note
    assert words in note
    assert bool(words) == bool(note)


def test_the_last_full_turn_is_shown_with_its_star() -> None:
    sweep = SweepState((finished_turn(0), finished_turn(1)), starred=frozenset({1}))
    view = seen(replace(live_state(), sweep=sweep))
    assert (view.turns, view.last, view.starred) == (2, sweep.turns[1].result, True)
    assert not seen(replace(live_state(), sweep=replace(sweep, starred=frozenset({0})))).starred


def test_the_zero_is_taken_off_what_is_shown_alone() -> None:
    view = seen(replace(live_state(), display=Display(zero_mm=1.0)))
    assert (view.reading_mm, view.shown_mm) == (1.25, 0.25)


@pytest.mark.parametrize(
    ("setup", "limit_mm", "words"),
    [({}, None, ""), ({"limit": "0.05 mm"}, 0.05, "0.05 mm"),
     ({"limit": "0.05 mm", "limit_quantity": "form"}, None, "0.05 mm")],
)  # fmt: skip
def test_a_limit_of_something_else_is_no_limit_of_the_tir(
    setup: dict[str, str], limit_mm: float | None, words: str
) -> None:
    view = seen(live_state(setup=setup))
    assert (view.limit_mm, view.limit_words) == (limit_mm, words)


def test_with_stops_the_places_not_stopped_at_are_missing() -> None:
    state = with_board(live_state(setup={"places": "4"}), angle_source=AngleSource.STOPS)
    view = seen(replace(state, stops=StopPlaces((0.1, 0.2))))
    assert (view.missing, view.stop_at) == (((135.0, 315.0),), "place 3 of 4")
    assert seen(replace(state, stops=StopPlaces((0.1,) * 4))).stop_at == "place 1 again"


def test_a_recording_that_has_ended_is_no_longer_shown_as_running() -> None:
    running = replace(live_state(), recording=Path("a.mcap"))
    assert seen(running).recording == "a.mcap"
    assert seen(replace(running, ended=True)).recording == ""


def test_lost_frames_and_an_overdue_certificate_are_said() -> None:
    state = with_board(live_state(setup={"gauge_due": "2025-12-31"}), frames_lost=3)
    view = seen(state)
    assert view.link == "3 frames lost on the link"
    assert "2025-12-31" in view.overdue
    assert seen(state, today=date(2025, 12, 30)).overdue == ""


@pytest.mark.parametrize("role", Role)
def test_a_view_says_whose_window_it_is(role: Role) -> None:
    assert seen(live_state(role)).role is role


def test_the_index_pulse_is_a_mark_of_its_own() -> None:
    assert not seen(live_state()).marked
    assert seen(live_state(setup={"mark": "index"})).marked


def test_before_the_first_reading_nothing_is_said_of_the_angle_and_there_is_no_turn() -> None:
    view = seen(replace(live_state(turns=0), reading=LiveReading(), board=BoardReport()))
    assert (view.source, view.last, view.turns, view.angle_deg) == (None, None, 0, None)


def test_what_cannot_be_analysed_keeps_its_reason() -> None:
    problem = SweepSoFar(None, "too few values", None, None, None)
    view = seen(replace(live_state(), analysis=problem))
    assert (view.result, view.analysis) == (None, problem)

"""Windows of the turn that are left out: how they are written, where they lie, what they keep."""

import numpy as np
import pytest

from analysis.capture.exclusions import Window, kept, parse_window, windows_of_setup
from analysis.errors import BadInput
from analysis.setup import parse_setup


@pytest.mark.parametrize(
    ("text", "window"),
    [
        ("40:52=keyway", Window(40.0, 52.0, "keyway")),
        (" 40 : 52 = key way ", Window(40.0, 52.0, "key way")),
        ("350:10=hole 1", Window(350.0, 10.0, "hole 1")),
        ("40,5:52=a=b", Window(40.5, 52.0, "a=b")),
    ],
)
def test_a_window_is_two_angles_and_a_reason(text: str, window: Window) -> None:
    assert parse_window(text) == window


@pytest.mark.parametrize("text", ["40:52", "40:52=", "40:52=  ", "40=keyway", "=keyway", "", "40:50:60=x"])
def test_a_window_without_angles_or_reason_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="is not FROM:TO=REASON"):
        parse_window(text)


def test_an_angle_that_is_no_number_is_refused() -> None:
    with pytest.raises(BadInput, match="--leave-out angle 'here' is not a number"):
        parse_window("here:52=keyway")


def test_an_angle_outside_a_turn_is_refused_with_what_to_write() -> None:
    with pytest.raises(BadInput, match="350"):
        parse_window("-10:10=hole 1")


@pytest.mark.parametrize("text", ["40:40=all", "0:360=all", "0:181=more than half", "10:5=nearly all"])
def test_a_window_of_nothing_or_of_more_than_half_a_turn_is_refused(text: str) -> None:
    with pytest.raises(BadInput, match="may be up to 180 degrees wide"):
        parse_window(text)


@pytest.mark.parametrize(
    ("window", "width"),
    [(Window(40, 52, ""), 12.0), (Window(350, 10, ""), 20.0), (Window(0, 180, ""), 180.0)],
)
def test_a_window_may_run_over_the_mark(window: Window, width: float) -> None:
    assert window.width_deg == width


def test_both_edges_belong_to_the_window() -> None:
    held = Window(350.0, 10.0, "").holds(np.array([349.9, 350.0, 0.0, 10.0, 10.1]))
    assert held.tolist() == [False, True, True, True, False]


def test_a_window_holds_on_every_turn() -> None:
    assert Window(40.0, 52.0, "").holds(np.array([45.0, 405.0, -315.0])).all()


def test_what_lies_in_no_window_is_kept() -> None:
    angle = np.radians(np.arange(0.0, 720.0, 1.0))
    keep = kept(angle, [Window(40.0, 51.5, ""), Window(350.0, 9.5, "")])
    # 40 to 51, and 350 to 9 over the mark: 12 and 20 whole degrees of each of two turns.
    assert int((~keep).sum()) == 2 * (12 + 20)


def test_no_windows_keep_everything() -> None:
    assert kept(np.linspace(0.0, 7.0, 9), []).all()


def test_only_holes_with_a_width_are_windows() -> None:
    assert windows_of_setup(parse_setup({"holes": "15:8 95 2:10"})) == [
        Window(11.0, 19.0, "hole"),
        Window(357.0, 7.0, "hole"),
    ]


def test_a_sweep_from_the_arbors_mark_meets_the_parts_holes_later() -> None:
    setup = parse_setup({"holes": "15:8", "mark_on": "arbor", "index_angle": "90"})
    assert windows_of_setup(setup) == [Window(101.0, 109.0, "hole")]


def test_a_sweep_from_the_parts_mark_meets_them_where_they_are() -> None:
    setup = parse_setup({"holes": "15:8", "mark_on": "part", "index_angle": "90"})
    assert windows_of_setup(setup) == [Window(11.0, 19.0, "hole")]

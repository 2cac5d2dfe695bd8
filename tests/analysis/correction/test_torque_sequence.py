"""Criss-cross orders of bolts."""

import pytest
from hypothesis import given, strategies as st

from analysis.correction.torque_sequence import criss_cross, torque_steps
from analysis.errors import BadInput


@pytest.mark.parametrize(
    ("bolts", "order"), [(4, (1, 3, 2, 4)), (5, (1, 3, 5, 2, 4)), (6, (1, 4, 2, 5, 3, 6))]
)
def test_small_circles_as_the_trade_draws_them(bolts: int, order: tuple[int, ...]) -> None:
    """Common practice, no source."""
    assert criss_cross(bolts) == order


@given(st.integers(2, 40))
def test_every_bolt_comes_once_and_of_an_even_circle_the_opposite_one_next(bolts: int) -> None:
    order = criss_cross(bolts)
    assert sorted(order) == list(range(1, bolts + 1))
    if bolts >= 4 and bolts % 2 == 0:
        assert all((b - a) % bolts == bolts // 2 for a, b in zip(order[::2], order[1::2], strict=True))


def test_each_step_goes_over_all_bolts() -> None:
    assert [(one.torque, len(one.order)) for one in torque_steps(6, ["20 Nm", "40 Nm"])] == [
        ("20 Nm", 6),
        ("40 Nm", 6),
    ]


@pytest.mark.parametrize("bolts", [1, 0, 200])
def test_a_circle_of_too_few_or_many_is_refused(bolts: int) -> None:
    with pytest.raises(BadInput, match="expected 2 to"):
        criss_cross(bolts)


def test_no_steps_are_refused() -> None:
    with pytest.raises(BadInput, match="no steps"):
        torque_steps(6, ["", " "])

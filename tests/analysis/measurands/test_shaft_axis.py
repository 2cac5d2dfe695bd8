"""Two planes along a shaft: any other predicted, bent told from off-centre."""

import numpy as np
import pytest

from analysis.errors import BadInput
from analysis.measurands.shaft_axis import axis_from_planes
from analysis.numerics.order_vectors import OrderVectors

E1, E2 = 0.010 + 0.004j, -0.002 + 0.012j
AXIS = axis_from_planes([E1], 20.0, [E2], 120.0)


@pytest.mark.parametrize(
    ("plane", "expected"), [(20.0, E1), (120.0, E2), (70.0, (E1 + E2) / 2), (220.0, 2 * E2 - E1)]
)
def test_any_plane_lies_on_the_line_of_the_two(plane: float, expected: complex) -> None:
    assert complex(AXIS.at(plane).z_mm[0]) == pytest.approx(expected)


def test_uncertainty_grows_away_from_the_planes() -> None:
    first, second = (OrderVectors(np.array([z]), 1e-6 * np.eye(2), 50.0) for z in (E1, E2))
    axis = axis_from_planes(first, 0.0, second, 100.0)
    assert axis.at(50.0).u_mm[0] < axis.at(0.0).u_mm[0] < axis.at(300.0).u_mm[0]


def test_the_slope_is_the_change_along_the_axis() -> None:
    assert AXIS.slope_mrad == pytest.approx(10 * (E2 - E1))


@pytest.mark.parametrize(("second", "tilted"), [(E1, False), (E2, True)])
def test_bent_is_told_from_off_centre(second: complex, tilted: bool) -> None:
    known = [OrderVectors(np.array([z]), 1e-8 * np.eye(2), 50.0) for z in (E1, second)]
    assert axis_from_planes(known[0], 0.0, known[1], 100.0).tilted is tilted


def test_the_axes_come_nearest_between_opposite_planes() -> None:
    assert axis_from_planes([0.01], 0.0, [-0.01], 100.0).crossing_plane_mm == pytest.approx(50.0)


def test_one_plane_twice_is_refused() -> None:
    with pytest.raises(BadInput, match="another plane"):
        axis_from_planes([E1], 20.0, [E2], 20.0)

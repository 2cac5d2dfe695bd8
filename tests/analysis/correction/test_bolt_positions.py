"""Positions of a bolted-on part: the bicycle disc in closed form, one road against another, limits of it."""

import math

import numpy as np
import pytest
from wobbles import order_one

from analysis import hole_positions
from analysis.correction.bolt_positions import positions_from_assembled
from analysis.errors import BadInput
from analysis.numerics.order_vectors import OrderVectors, exact

HUB = np.array([order_one(0.050 * 75 / 22, 35), 0, 0])
DISC = np.array([order_one(0.1200, 190), 0, order_one(0.06, 0) * np.exp(3j * math.radians(20))])
SIX = hole_positions(HUB, DISC, 6)


def test_first_orders_of_the_six_positions() -> None:
    # The story's numbers, half a unit of the last printed digit.
    expected = [0.080, 0.100, 0.217, 0.284, 0.2775, 0.200]
    assert [one.first_mm for one in SIX.positions] == pytest.approx(expected, abs=0.0005)


def test_all_orders_of_the_six_positions() -> None:
    expected = [0.110, 0.147, 0.269, 0.262, 0.314, 0.258]
    assert [one.tir.value for one in SIX.positions if one.tir] == pytest.approx(expected, abs=0.0005)


def test_the_best_one_is_the_least_of_all_orders() -> None:
    assert SIX.best is SIX.positions[0]
    assert (SIX.best.deg, SIX.between) == (0.0, ())


def test_position_k_stands_at_its_share_of_the_turn() -> None:
    assert [(one.hole, one.deg) for one in SIX.positions][4] == (5, 240.0)


@pytest.mark.parametrize(("holes", "share"), [(4, 0.765), (5, 0.618), (6, 0.518), (8, 0.390), (10, 0.313)])
def test_the_worst_best_residual_of_equal_vectors(holes: int, share: float) -> None:
    """Plan, section 4: 2 H sin(90 deg / N), times 2 for TIR and H = 0.5."""
    # Half way between two holes both are the least: then there is no best one.
    largest = max(
        min(one.first_mm or 0.0 for one in hole_positions([0.5], [0.5 * np.exp(1j * phase)], holes).positions)
        for phase in math.pi + np.linspace(0, 2 * math.pi / holes, 9)
    )
    assert largest == pytest.approx(share, abs=0.001)


def test_a_list_of_allowed_angles_is_an_odd_pattern() -> None:
    found = hole_positions([1.0], [1.0], [0.0, 55.0, 170.0])
    assert found.best is found.positions[2]


def assembled(deg: float) -> np.ndarray:
    n = np.arange(1, 4)
    return HUB + DISC * np.exp(1j * n * math.radians(deg))


def test_two_assembled_sweeps_predict_all_six() -> None:
    found = positions_from_assembled([assembled(0), assembled(60)], [0, 60], 6)
    expected = [one.tir.value for one in SIX.positions if one.tir]
    assert [one.tir.value for one in found.positions if one.tir] == pytest.approx(expected, abs=1e-9)


def test_an_order_that_looks_alike_at_every_hole_is_still_predicted() -> None:
    six = np.zeros(6, complex)
    six[5] = 0.02
    found = positions_from_assembled([six, six], [0, 60], 6)
    assert found.not_separable == (6,)
    assert [one.tir.value for one in found.positions if one.tir] == pytest.approx([0.04] * 6)


def test_a_position_with_an_unknown_order_has_no_tir() -> None:
    found = positions_from_assembled([assembled(0), assembled(180)], [0, 180], 6)
    assert [one.tir is None for one in found.positions] == [False, True, True, False, True, True]


def test_among_positions_of_which_one_is_unknown_none_is_the_best() -> None:
    found = positions_from_assembled([assembled(0), assembled(180)], [0, 180], 6)
    assert found.best is None
    assert {2, 3, 5, 6} <= {one.hole for one in found.between}


def six_lobed(hub_mm: float, disc_mm: float, phase: float, first_mm: float) -> tuple[np.ndarray, np.ndarray]:
    """Return hub and disc with a wobble and six lobes each, phase between the lobes, as orders 1 to 6."""
    hub, disc = np.zeros(6, complex), np.zeros(6, complex)
    hub[0], disc[0] = 0.1, -first_mm
    hub[5], disc[5] = hub_mm, disc_mm * np.exp(1j * phase)
    return hub, disc


@pytest.mark.parametrize("phase", np.linspace(0.0, 2.0 * math.pi, 7)[:-1])
def test_bounds_with_the_part_alone_hold_the_truth_at_holes_that_do_not_look_alike(phase: float) -> None:
    hub, disc = six_lobed(0.004, 0.003, phase, 0.09)
    n, odd = np.arange(1, 7), [0.0, 60.0, 95.0, 230.0]
    sweeps = [hub + disc * np.exp(1j * n * math.radians(deg)) for deg in (0, 60)]
    found = positions_from_assembled(sweeps, [0, 60], odd, part_alone=disc)
    true = hole_positions(hub, disc, odd)
    assert [one.tir is None for one in found.positions] == [False, False, True, True]
    for one, known in zip(found.positions, true.positions, strict=True):
        assert one.tir_bounds_mm is not None
        assert known.tir is not None
        low, high = one.tir_bounds_mm
        assert low - 1e-9 <= known.tir.value <= high + 1e-9
    assert (found.best is not None, true.best is not None) == (True, True)
    assert found.best.hole == true.best.hole  # type: ignore[union-attr]


def test_large_lobes_of_the_part_leave_the_best_hole_open() -> None:
    hub, disc = six_lobed(0.004, 0.06, 1.0, 0.09)
    sweeps = [hub + disc * np.exp(1j * np.arange(1, 7) * math.radians(deg)) for deg in (0, 60)]
    found = positions_from_assembled(sweeps, [0, 60], [0.0, 60.0, 95.0], part_alone=disc)
    assert found.best is None
    assert 3 in {one.hole for one in found.between}


def test_without_the_part_alone_nothing_bounds_an_unknown_order() -> None:
    found = positions_from_assembled([assembled(0), assembled(180)], [0, 180], 6)
    assert found.positions[1].tir_bounds_mm is None


def test_a_part_alone_with_fewer_orders_is_refused() -> None:
    with pytest.raises(BadInput, match="as many values"):
        positions_from_assembled([assembled(0), assembled(180)], [0, 180], 6, part_alone=[0.1])


def test_positions_that_noise_makes_alike_are_all_named() -> None:
    noisy = [OrderVectors(one, 1e-2 * np.eye(6), 100.0) for one in (HUB, DISC)]
    found = hole_positions(*noisy, 6)
    assert found.best is None
    assert len(found.between) >= 2


def test_the_interval_is_wider_where_more_has_to_be_inferred() -> None:
    noisy = [OrderVectors(assembled(deg), 1e-6 * np.eye(6), 100.0) for deg in (0, 60)]
    found = positions_from_assembled(noisy, [0, 60], 6)
    widths = [one.tir.u for one in found.positions if one.tir]
    assert widths[0] < widths[3]


def test_the_mirror_image_has_its_positions_the_other_way_round() -> None:
    far = hole_positions(HUB.conj(), DISC.conj(), 6)
    firsts = [one.first_mm for one in SIX.positions]
    assert [one.first_mm for one in far.positions] == pytest.approx([firsts[0], *firsts[:0:-1]])


@pytest.mark.parametrize("holes", [1, 0, [30.0]])
def test_one_hole_leaves_nothing_to_choose(holes: object) -> None:
    with pytest.raises(BadInput, match="nothing to choose"):
        hole_positions(exact([1.0]), exact([1.0]), holes)  # type: ignore[arg-type]

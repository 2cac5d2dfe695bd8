"""Every mounting so far and the card of the last: which is best, how far they scatter."""

from functools import cache

import pytest
from indexed_sweeps import indexed_sweep
from wobbles import order_one

from analysis.errors import BadInput
from analysis.setup import make_limit
from analysis.units import parse_length
from logger.inputs import AnalysedSweep
from logger.studies import MountingsStudy, study_mountings

PART = order_one(0.140, 63.0)
FACE = {"surface": "face", "track_radius": "110 mm"}
LIMIT = make_limit(parse_length("0.05 mm"), "tir", surface="face", radius_mm=None)


@cache
def lathe(mount_mm: float, high_side_deg: float) -> AnalysedSweep:
    z = PART + order_one(mount_mm, high_side_deg)
    return indexed_sweep(z, name=f"mount-{mount_mm:g}.mcap", index_deg=0.0, seed=2, **FACE)


BURR, CLEAN = lathe(0.090, 20.0), lathe(0.030, 200.0)


def studied(*mountings: AnalysedSweep, comes_off: bool = False) -> MountingsStudy:
    own = indexed_sweep(PART, name="own.mcap", **FACE)
    return study_mountings([own], mountings, LIMIT, "face", lengths_mm={}, comes_off=comes_off)


@pytest.mark.parametrize("order", [(BURR, CLEAN), (CLEAN, BURR)])
def test_the_last_is_on_the_lathe_and_the_best_leaves_least(order: tuple[AnalysedSweep, ...]) -> None:
    study = studied(*order)
    assert study.now.sweep is order[-1]
    assert study.best.sweep is CLEAN


def test_the_card_is_of_the_mounting_on_the_lathe_now() -> None:
    assert studied(CLEAN, BURR).card.stops
    assert not studied(BURR, CLEAN).card.stops


def test_of_one_mounting_nothing_is_known_of_their_scatter() -> None:
    assert studied(CLEAN).scatter_mm is None


def test_two_mountings_scatter_by_half_of_what_lies_between_them() -> None:
    # Deviations of +-d/2 in a plane: sum |off|^2 / (2 (n - 1)) = d^2 / 4 a component.
    apart = abs(order_one(0.090, 20.0) - order_one(0.030, 200.0))
    assert studied(BURR, CLEAN).scatter_mm == pytest.approx(apart / 2.0, rel=0.01)


def test_a_part_that_comes_off_before_the_cut_is_less_surely_known() -> None:
    stays, comes_off = (studied(BURR, CLEAN, comes_off=off).now.prediction.tir.u for off in (False, True))
    assert comes_off > 10 * stays


def test_a_track_that_is_none_of_the_last_mounting_is_refused() -> None:
    with pytest.raises(BadInput, match="both at radius 110 mm"):
        study_mountings(
            [CLEAN], [CLEAN], LIMIT, "face", lengths_mm={}, tracks=[CLEAN]
        )  # fmt: skip

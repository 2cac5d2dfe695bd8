"""The evidence of a fitted sweep: every group says what was put into the sweep, and is made when asked for."""

import math
from dataclasses import replace

import numpy as np
import pytest
from made_sweeps import TURN_S, Made, capture, made, wobble

from analysis.capture.angle_source import AngleSource
from analysis.capture.samples import Capture, IndexPulses
from analysis.checks.registry import CHECKS, CheckId, run_checks
from analysis.diagnosis.jumps import JumpKind
from analysis.results import CheckState
from analysis.sweep.evidence import SweepEvidence
from analysis.sweep.fitting import fit_turns
from analysis.sweep.pooling import pool_turns

NOISE_MM, STEP_MM = 0.0008, 0.001
LIMIT_MM = 0.050
CREEP_MM = 0.006
"""A turn."""


def seen(given: Capture) -> SweepEvidence:
    pool = pool_turns(given, (), None)
    return SweepEvidence(fit_turns(given, pool, 1), LIMIT_MM, 0)


def noisy(tir_mm: float = 0.142, **also: object) -> Made:
    return made(wobble(tir_mm), noise_mm=NOISE_MM, step_mm=STEP_MM, **also)  # type: ignore[arg-type]


def with_counts(sweep: Made) -> Capture:
    return replace(capture(sweep, STEP_MM), counts_per_turn=2400.0)


GOOD = seen(capture(noisy(), STEP_MM))
CREEPING = seen(capture(noisy(also=lambda deg: CREEP_MM * deg / 360.0), STEP_MM))


def test_it_holds_what_the_pool_says_of_the_turns() -> None:
    turning = GOOD.turning
    assert [turn.turn for turn in turning.turns] == [0, 1, 2]
    assert (turning.other_direction, list(turning.refused_turns), turning.windows_left_out) == (0, [], 0)
    assert turning.places > 400  # 480 places a turn
    assert turning.together_gap_deg < 1.0


def test_a_creep_is_a_drift_a_turn() -> None:
    drift = CREEPING.drift_per_turn
    assert drift is not None
    # A slope through n readings of noise s over m turns: s sqrt(12 / n) / m a turn; four of that.
    assert drift.noise_mm == pytest.approx(NOISE_MM * math.sqrt(12.0 / 1440) / 3, rel=0.3)
    assert drift.mm == pytest.approx(CREEP_MM, abs=4 * drift.noise_mm)


def test_a_creep_that_was_fitted_is_no_closure() -> None:
    closure = CREEPING.closure
    assert closure is not None
    assert abs(closure.mm) < 4 * closure.noise_mm
    assert closure.noise_mm < CREEP_MM / 4


def test_a_single_turn_has_a_closure_and_no_drift() -> None:
    alone = seen(capture(noisy(turns=1, also=lambda deg: CREEP_MM * deg / 360.0), STEP_MM))
    assert alone.drift_per_turn is None
    assert alone.closure is not None
    assert alone.closure.mm == pytest.approx(CREEP_MM, abs=4 * alone.closure.noise_mm)


def test_turns_of_one_part_agree_within_their_noise() -> None:
    assert 0.0 < GOOD.repeat.mm < 3 * GOOD.repeat.noise_mm


def test_a_turn_that_wobbles_more_does_not_repeat() -> None:
    # The second turn reads 0.010 mm more at its high place and as much less opposite.
    worse = noisy(
        also=lambda deg: np.where((deg >= 360) & (deg < 720), 0.010, 0.0) * np.cos(np.radians(deg - 63))
    )
    assert seen(capture(worse, STEP_MM)).repeat.mm == pytest.approx(0.010, abs=3 * GOOD.repeat.noise_mm)


def test_curves_that_uneven_turning_bends_are_compared_by_their_heights() -> None:
    # The same wobble, half a turn further on in the second turn: another place, the same height.
    sideways = noisy(
        also=lambda deg: np.where((deg >= 360) & (deg < 720), -0.142, 0.0) * np.cos(np.radians(deg - 63))
    )
    by_index = seen(replace(capture(sideways, STEP_MM), angle_source=AngleSource.INDEX))
    assert seen(capture(sideways, STEP_MM)).repeat.mm > 0.1
    assert by_index.repeat.mm < 0.002  # two steps of the gauge


def test_a_knock_of_the_stand_is_a_jump() -> None:
    knocked = seen(capture(noisy(also=lambda deg: np.where(deg >= 500.0, 0.03, 0.0)), STEP_MM))
    assert knocked.jump is not None
    assert (knocked.jump.kind, GOOD.jump) == (JumpKind.STAND, None)
    assert knocked.jump.t_s == pytest.approx(500.0 / 360.0 * TURN_S, abs=0.05)  # four readings


def test_a_gauge_that_sticks_stands_still() -> None:
    sweep = noisy()
    held = (sweep.deg >= 480.0) & (sweep.deg <= 510.0)
    reading = np.where(held, sweep.reading_mm[int(np.argmax(held))], sweep.reading_mm)
    (stood,) = seen(capture(replace(sweep, reading_mm=reading), STEP_MM)).standstills
    # Beyond either end the slope gives a step of the gauge within a degree or two.
    assert stood.span_deg == pytest.approx(30.0, abs=3.0)
    assert list(GOOD.standstills) == []


def test_readings_out_of_range_are_a_share_of_the_turns() -> None:
    given = capture(noisy(), STEP_MM)
    out = given.samples.out_of_range.copy()
    out[::20] = True
    assert seen(replace(given, samples=replace(given.samples, out_of_range=out))).out_of_range_share == 0.05


class TestSlip:
    """Turns tell lost counts where no index pulse does."""

    def slipping(self, deg: float) -> Made:
        """Return a sweep whose angle is told so much too large from the second turn on."""
        turned = noisy().deg
        counted = turned + np.where(turned >= 360.0, deg, 0.0)
        return Made(np.radians(counted), wobble(0.142)(turned), noisy().t_s, noisy().turn)

    def test_counts_that_were_lost_show_between_turns(self) -> None:
        slip = seen(with_counts(self.slipping(3.0))).slip
        assert slip is not None
        assert abs(slip.step_deg) == pytest.approx(3.0, abs=0.3)  # a tenth: the seam lies within a turn

    def test_pulses_of_the_encoders_own_disc_hide_nothing(self) -> None:
        pulses = IndexPulses(np.arange(2.0), np.arange(2.0), np.ones(2, np.int8), np.zeros(2, np.int16))
        assert seen(replace(with_counts(self.slipping(3.0)), index=pulses)).slip is not None

    def test_it_is_not_looked_for_where_nothing_is_counted(self) -> None:
        assert GOOD.slip is None


def test_readings_without_times_tell_no_play() -> None:
    assert seen(replace(capture(noisy(), STEP_MM), timed=False)).hysteresis is None


class TestMadeWhenAsked:
    """A search is made once, the first time a check asks, and never for a check that is not for the sweep."""

    SEARCHES = frozenset({"standstills", "jump", "hysteresis", "slip", "repeat", "out_of_range_share"})

    def test_nothing_is_made_before_it_is_asked_for(self) -> None:
        assert not self.SEARCHES & vars(seen(capture(noisy(), STEP_MM))).keys()

    def test_what_was_made_is_kept(self) -> None:
        assert GOOD.standstills is GOOD.standstills

    def test_of_a_few_places_nothing_is_searched_for(self) -> None:
        few = seen(replace(capture(made(wobble(0.03), turns=1, per_turn=8)), angle_source=AngleSource.TYPED))
        run_checks(few)
        assert not self.SEARCHES & vars(few).keys()

    def test_of_a_whole_sweep_everything_is(self) -> None:
        whole = seen(with_counts(noisy()))
        run_checks(whole)
        assert vars(whole).keys() >= self.SEARCHES


def test_a_good_sweep_is_clear_in_every_check() -> None:
    assert {check.state for check in run_checks(GOOD)} == {CheckState.CLEAR}


def test_every_check_is_made_of_some_sweep() -> None:
    made_of_these = {check.name for given in (GOOD, CREEPING) for check in run_checks(given)}
    # A link, a lag that shows, ground passed twice, a float measured before and a typed key that differs from the
    # register's are not in a plain sweep.
    others = {
        CheckId.LINK,
        CheckId.LAG,
        CheckId.BACKWARD_FORWARD,
        CheckId.END_FLOAT,
        CheckId.GAUGE_REGISTER,
    }
    assert made_of_these == {spec.id for spec in CHECKS} - others

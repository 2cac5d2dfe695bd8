"""Uncertain numbers: the law of propagation, counted draws, and a value with its budget and limits."""

import math

import numpy as np
import pytest
from hypothesis import given, strategies as st

from analysis.numerics.uncertain_number import (
    Component,
    Limits,
    UncertainNumber,
    coverage_interval,
    propagate,
)

C = np.array([[4.0, 1.0], [1.0, 9.0]])
LENGTHS = st.floats(1e-6, 1e3)
DOFS = st.floats(1.0, 1e4)
COUNTED = Limits((4.6, 5.6), (4.7, 5.5))
"""Limits of a number of value 5, as counting draws gives them: not even."""


def test_a_sum_has_both_variances_and_twice_the_covariance() -> None:
    assert float(propagate([1.0, 1.0], C)) == 15.0


def test_a_difference_has_both_variances_less_twice_the_covariance() -> None:
    assert float(propagate([1.0, -1.0], C)) == 11.0


def test_several_functions_have_a_covariance() -> None:
    """JCGM 100:2008, 5.2.2: rows (1, 1) and (1, -1); covariance of sum and difference is 4 - 9."""
    assert propagate([[1.0, 1.0], [1.0, -1.0]], C).tolist() == [[15.0, -5.0], [-5.0, 11.0]]


def test_it_is_what_draws_show() -> None:
    draws = np.random.default_rng(1).multivariate_normal([0, 0], C, 200_000) @ np.array([0.3, -2.0])
    # A variance of 200,000 draws: sqrt(2 / N) = 0.3 % of itself, three of them.
    assert np.var(draws) == pytest.approx(float(propagate([0.3, -2.0], C)), rel=0.0095)


def test_the_interval_leaves_out_as_many_draws_on_either_side() -> None:
    draws = np.random.default_rng(1).exponential(size=999)
    low, high = coverage_interval(draws)
    assert int((draws < low).sum()) == int((draws > high).sum()) == 25


@pytest.mark.parametrize("coverage", [0.5, 0.9, 0.95])
def test_the_interval_holds_the_share_asked_for(coverage: float) -> None:
    low, high = coverage_interval(np.linspace(0.0, 1.0, 1001), coverage)
    assert high - low == pytest.approx(coverage, abs=1e-12)


def test_a_skew_quantity_has_a_skew_interval() -> None:
    low, high = coverage_interval(np.random.default_rng(1).exponential(size=100_000))
    # -ln(.975) and -ln(.025) of an exponential quantity (closed form). One deviation of a counted quantile is
    # sqrt(.025 x .975 / 1e5) over the density there: 0.0005 and 0.02.
    assert low == pytest.approx(0.0253, abs=0.0015)
    assert high == pytest.approx(3.6889, abs=0.06)


class TestUncertainNumber:
    """A value with its budget: combined and expanded uncertainty, limits, scaling."""

    END_GAUGE = UncertainNumber(
        838.0,
        {
            "standard": Component(25.0, 18.0),
            "comparison": Component(9.7, 25.6),
            "temperature of the table": Component(16.6, 2.0),
            "thermal expansion": Component(2.9, 50.0),
        },
        unit="nm",
    )
    """JCGM 100:2008, H.1 (numbers from memory): l = 50.000838 mm, u = 32 nm, 16 degrees of freedom, U99 = 93 nm."""

    def test_the_end_gauge_of_the_guide_has_its_combined_uncertainty(self) -> None:
        # The printed one is rounded to whole nanometres.
        assert self.END_GAUGE.u == pytest.approx(32.0, abs=0.5)

    def test_the_end_gauge_of_the_guide_has_its_degrees_of_freedom(self) -> None:
        """G.4.1 and H.1.6: 32^4 / (25^4/18 + 9.7^4/25.6 + 2.9^4/50 + 16.6^4/2) = 16.7, which it cuts to 16."""
        assert self.END_GAUGE.dof == pytest.approx(16.7, abs=0.1)

    def test_the_end_gauge_of_the_guide_has_its_expanded_uncertainty(self) -> None:
        expanded, k = self.END_GAUGE.expanded(0.99)
        # k = 2.92 at 16 degrees of freedom, 0.02 less at 16.7; 93 is 2.92 times a u rounded by up to half.
        assert (expanded, k) == (
            pytest.approx(93.0, abs=0.5 * 2.92 + 0.02 * 32),
            pytest.approx(2.92, abs=0.025),
        )

    def test_what_has_no_part_is_known_exactly(self) -> None:
        known = UncertainNumber(0.03)
        assert (known.u, known.dof, known.interval(), known.one_sided()) == (
            0.0, math.inf, (0.03, 0.03), (0.03, 0.03),
        )  # fmt: skip

    @pytest.mark.parametrize("dof", [1.0, 3.0, 8.1, 49.0, 1985.0, math.inf])
    def test_one_part_alone_keeps_its_degrees_of_freedom_exactly(self, dof: float) -> None:
        assert UncertainNumber(1.0, {"scatter": Component(0.0123, dof)}).dof == dof

    @given(st.lists(st.tuples(LENGTHS, DOFS), min_size=1, max_size=6))
    def test_the_degrees_of_freedom_lie_between_the_fewest_and_all_together(
        self, given_parts: list[tuple[float, float]]
    ) -> None:
        """Welch and Satterthwaite: never fewer than the part's with the fewest, never more than their sum."""
        parts = {str(k): Component(u, dof) for k, (u, dof) in enumerate(given_parts)}
        dofs = [dof for _, dof in given_parts]
        # Rounding of a few sums and fourth powers.
        assert min(dofs) * (1 - 1e-9) <= UncertainNumber(0.0, parts).dof <= sum(dofs) * (1 + 1e-9)

    @given(LENGTHS, LENGTHS, DOFS)
    def test_one_part_more_never_makes_it_better_known(self, value: float, u: float, dof: float) -> None:
        before = UncertainNumber(value, {"scatter": Component(0.01, 4.0)}, limits=COUNTED)
        after = before.with_part("more", Component(u, dof))
        assert after.u >= before.u
        assert after.limits is not None

    @given(LENGTHS, DOFS, st.floats(0.0, 1.0), st.booleans())
    def test_given_limits_only_widen(self, u: float, dof: float, shift: float, downward: bool) -> None:
        before = UncertainNumber(5.0, {"scatter": Component(0.01, 4.0)}, limits=COUNTED)
        one_sided = Component(u, dof, -shift if downward else shift, one_sided=True)
        for part in (Component(u, dof), one_sided):
            after = before.with_part("more", part)
            for old, new in ((before.interval(), after.interval()), (before.one_sided(), after.one_sided())):
                # An end that stays is reckoned back from its distance: two roundings.
                assert new[0] <= old[0] + 1e-14
                assert new[1] >= old[1] - 1e-14

    def test_given_limits_widen_in_quadrature_by_the_quantile_of_the_part(self) -> None:
        after = UncertainNumber(5.0, limits=COUNTED).with_part("more", Component(0.1, 3.0))
        # t(.975, 3) = 3.182, t(.95, 3) = 2.353 in the usual table, three decimals.
        assert after.interval() == pytest.approx(
            (5.0 - math.hypot(0.4, 0.3182), 5.0 + math.hypot(0.6, 0.3182)), abs=1e-4
        )
        assert after.one_sided() == pytest.approx(
            (5.0 - math.hypot(0.3, 0.2353), 5.0 + math.hypot(0.5, 0.2353)), abs=1e-4
        )

    def test_a_part_that_only_hides_height_leaves_the_lower_limit(self) -> None:
        """Play h, uniform in [0, h]: the truth lies up to h above the reading, h/2 on average, never below."""
        h = 0.003
        known = UncertainNumber(
            0.05, {"play": Component(h / math.sqrt(12.0), math.inf, h / 2.0, one_sided=True)}
        )
        assert known.one_sided() == (
            0.05,
            pytest.approx(0.05 + h / 2.0 + 1.644854 * h / math.sqrt(12.0), abs=1e-9),
        )

    def test_a_shift_to_both_sides_moves_the_interval_and_not_the_value(self) -> None:
        plain, moved = (
            UncertainNumber(1.0, {"sag": Component(0.1, math.inf, shift)}) for shift in (0.0, 0.25)
        )
        assert moved.value == plain.value
        assert moved.interval() == pytest.approx([end + 0.25 for end in plain.interval()], abs=1e-15)

    @given(st.floats(0.125, 8.0), st.sampled_from([None, COUNTED]))
    def test_scaling_scales_all_of_it(self, factor: float, limits: Limits | None) -> None:
        whole = UncertainNumber(
            5.0, {"a": Component(0.3, 4.0, 0.1), "b": Component(0.4, 9.0)}, limits=limits, least=0.0
        )
        part = whole.scaled(factor)
        # One rounding in each of a few products and sums.
        assert (part.value, part.u, *part.interval(), *part.one_sided()) == pytest.approx(
            [factor * one for one in (whole.value, whole.u, *whole.interval(), *whole.one_sided())], rel=1e-12
        )
        assert part.dof == pytest.approx(whole.dof, rel=1e-12)

    @pytest.mark.parametrize("factor", [0.0, -1.0, math.nan])
    def test_a_factor_that_turns_the_limits_round_is_refused(self, factor: float) -> None:
        with pytest.raises(ValueError, match="is not above zero"):
            UncertainNumber(1.0).scaled(factor)

    def test_no_limit_lies_below_the_least_or_beyond_half_a_turn(self) -> None:
        length = UncertainNumber(0.001, {"scatter": Component(0.01)}, least=0.0)
        angle = UncertainNumber(70.0, {"scatter": Component(200.0)}, unit="deg", furthest=180.0)
        assert (length.interval()[0], length.one_sided()[0]) == (0.0, 0.0)
        assert angle.interval() == (-110.0, 250.0)

    def test_the_interval_is_at_students_t(self) -> None:
        # t(.975, 4) = 2.776, t(.95, 4) = 2.132 in the usual table.
        known = UncertainNumber(1.0, {"scatter": Component(0.1, 4.0)})
        assert known.interval() == pytest.approx((1 - 0.2776, 1 + 0.2776), abs=5e-5)
        assert known.one_sided() == pytest.approx((1 - 0.2132, 1 + 0.2132), abs=5e-5)

    def test_what_was_given_at_95_cannot_be_had_at_99(self) -> None:
        with pytest.raises(ValueError, match=r"cannot be had at 0\.99"):
            UncertainNumber(5.0, limits=COUNTED).interval(0.99)

    def test_limits_with_a_u_of_their_own_lend_it_to_the_number(self) -> None:
        counted = UncertainNumber(5.0, {"scatter": Component(0.3)}, limits=Limits((4.0, 6.0), u=0.5))
        assert (counted.u, counted.expanded()) == (0.5, (1.0, 2.0))
        assert counted.with_part("more", Component(1.2)).u == pytest.approx(1.3, rel=1e-15)

    def test_a_part_of_a_name_that_is_there_is_refused(self) -> None:
        with pytest.raises(ValueError, match="a name of its own"):
            self.END_GAUGE.with_part("standard", Component(1.0))

"""Which estimate the limit is held against, and what has to agree with it."""

import math

import pytest
from made_sweeps import Made, box, capture, made, sum_of, wobble

from analysis.decision.rule import Decision
from analysis.errors import BadInput, NotDecidable
from analysis.results import SweepResult
from analysis.setup import Limit, parse_setup
from analysis.sweep.conformity import check_limit
from analysis.sweep.pipeline import analyse
from analysis.units import parse_length

SWEEP = made(wobble(0.142), noise_mm=0.0008, step_mm=0.001)


def analysed(sweep: Made = SWEEP, **setup: str) -> SweepResult:
    return analyse(capture(sweep, 0.001, **setup))


def decided(result: SweepResult) -> Decision:
    assert result.decision is not None
    return result.decision


def test_no_limit_is_no_matter() -> None:
    check_limit(None, parse_setup({}))


@pytest.mark.parametrize(
    ("quantity", "words"),
    [
        ("tilt", "write it as a tir with limit_radius"),
        ("total", "a limit on total cannot be decided in one sweep"),
        ("thickness", "a limit on thickness cannot be decided in one sweep"),
        ("end_float", "a limit on end_float cannot be decided in one sweep"),
        ("eccentricity", "a face has no eccentricity"),
    ],
)
def test_a_limit_that_no_sweep_of_this_surface_decides_is_refused(quantity: str, words: str) -> None:
    with pytest.raises(BadInput) as refused:
        check_limit(Limit(parse_length("1 mm"), quantity), parse_setup({}))
    assert words in str(refused.value)


def test_a_tir_is_decided_with_the_limits_of_the_printed_interval() -> None:
    result = analysed(limit="0.2 mm")
    # The same lines joined one after the other: the normal quantile is written with six decimals there.
    assert decided(result).number.interval() == pytest.approx(result.pooled.tir_fit.interval(), rel=1e-6)


def test_a_first_order_is_decided_with_its_own_value() -> None:
    result = analysed(limit="0.2 mm", limit_quantity="tir_first")
    assert decided(result).number.value == result.pooled.tir_first.value


def test_an_eccentricity_has_half_of_everything() -> None:
    whole, half = (
        decided(analysed(limit_quantity=quantity, surface="outside", limit="0.2 mm")).number
        for quantity in ("tir_first", "eccentricity")
    )
    assert half == whole.scaled(0.5)


def test_a_form_is_decided_with_what_is_left_without_order_one() -> None:
    result = analysed(limit="0.2 mm", limit_quantity="form", surface="outside")
    assert decided(result).number.value == result.pooled.form_mm


def test_a_plain_wobble_in_the_guard_band_is_told_how_many_turns_would_decide() -> None:
    result = analysed(limit="1 mm")
    half = result.pooled.tir_fit.interval()[1] - result.pooled.tir_fit.value
    limit = result.pooled.tir_fit.value + 0.6 * half
    decision = decided(analysed(limit=f"{limit:.7f} mm"))
    assert decision.state == "undecided"
    assert decision.more_turns is not None


def test_a_nick_that_a_dial_shows_and_the_fit_does_not_leaves_it_open() -> None:
    # A nick 0.030 high at the high side of a wobble of 0.040: a dial shows 0.070, the fit some 0.045.
    nicked = made(sum_of(wobble(0.040), box(0.030, 63.0, 3.0)), noise_mm=0.0008, step_mm=0.001)
    decision = decided(analysed(nicked, limit="0.060 mm"))
    assert decision.state == "undecided"
    assert "nick" in decision.why


def test_a_nick_left_out_by_name_leaves_the_wobble() -> None:
    nicked = made(sum_of(wobble(0.040), box(0.030, 63.0, 3.0)), noise_mm=0.0008, step_mm=0.001)
    assert decided(analysed(nicked, limit="0.060 mm", holes="63:5")).state == "within"


def test_holes_are_no_witnesses() -> None:
    shapes = [box(-0.5, 10.0 + 60.0 * k, 6.0) for k in range(6)]
    holed = made(sum_of(wobble(0.040), *shapes), noise_mm=0.0008, step_mm=0.001)
    holes = " ".join(f"{10 + 60 * k}:8" for k in range(6))
    assert decided(analysed(holed, limit="0.060 mm", holes=holes)).state == "within"


def test_three_readings_decide_a_first_order_by_their_last_digit() -> None:
    from logger.inputs.csv_file import typed_capture

    asked = {"limit": "3 thou", "limit_quantity": "tir_first"}
    decision = decided(analyse(typed_capture("0:0 120:3 240:3 thou", asked)))
    # 0, 3, 3 at three places: A_1 is 2/3 of 3 thou across the first place, a TIR of 4 thou (closed form).
    assert decision.number.value == pytest.approx(2 * 2.0 * 0.0254, rel=1e-9)
    assert decision.number.u == pytest.approx(0.0254 / math.sqrt(6.0), rel=1e-9)


def test_a_file_without_a_plan_pays_for_a_look_after_each_turn() -> None:
    free, planned = (decided(analysed(limit="0.2 mm", **plan)) for plan in ({}, {"turns_planned": "2"}))
    assert (free.looks.planned, planned.looks.planned) == (None, 3)
    assert free.guard_mm > planned.guard_mm
    assert free.number.interval() == planned.number.interval()


def test_before_the_planned_turns_nothing_is_decided_and_the_way_is_said() -> None:
    decision = decided(analysed(limit="0.2 mm", turns_planned="20"))
    assert decision.state == "undecided"
    assert "of 20 planned turns: not decided yet, on the way to within" in decision.why


def test_the_turns_asked_for_are_those_of_a_rung_of_the_plan() -> None:
    result = analysed(limit="1 mm", turns_planned="2")
    half = result.pooled.tir_fit.interval()[1] - result.pooled.tir_fit.value
    more = decided(
        analysed(limit=f"{result.pooled.tir_fit.value + 0.8 * half:.7f} mm", turns_planned="2")
    ).more_turns
    assert more is not None
    assert more > 0


def test_earlier_recordings_of_the_same_part_make_the_guard_band_wider() -> None:
    first, third = (decided(analysed(limit="0.2 mm", looks_before=str(k))) for k in (0, 2))
    assert third.looks.look == first.looks.look + 2
    assert third.guard_mm > first.guard_mm


def test_a_result_is_decided_against_a_limit_of_its_own() -> None:
    import analysis

    entered = decided(analysed(limit="0.2 mm"))
    afterwards = analysis.decide(analysed(), "0.2 mm")
    assert (afterwards.state, afterwards.guard_mm) == (entered.state, entered.guard_mm)
    assert afterwards.limit_as_written == "0.2 mm"


def test_a_result_of_the_cutting_mount_is_not_decided_afterwards_either() -> None:
    import analysis

    with pytest.raises(NotDecidable, match="on the cutting mount"):
        analysis.decide(analysed(stage="after cut"), "0.2 mm")

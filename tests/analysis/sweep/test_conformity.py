"""Which estimate the limit is held against, and what has to agree with it."""

import math

import pytest
from made_sweeps import Made, box, capture, made, sum_of, wobble

from analysis.decision.rule import Decision
from analysis.errors import BadInput, NotDecidable
from analysis.numerics import Component, t_quantile
from analysis.results import SweepResult
from analysis.setup import Limit, parse_setup
from analysis.sweep.conformity import check_limit
from analysis.sweep.pipeline import analyse
from analysis.uncertainty import LineOn
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


def lines_of(result: SweepResult) -> dict[str, Component]:
    return {line.source: line.part for line in result.unseen if line.on is LineOn.TIR}


def test_a_tir_is_decided_with_the_printed_interval_and_every_line_that_no_sweep_shows() -> None:
    result = analysed(limit="0.2 mm", gauge_angle="10")
    value, (low, high) = result.pooled.tir_fit.value, result.pooled.tir_fit.interval()
    # Set by eye is in the sweep's own interval to within 3 deg, in a decision to within 5 deg.
    own, lines = result.pooled.tir_fit.parts["cosine"].u, lines_of(result)
    up, down = (
        math.sqrt(half**2 + 1.959964**2 * (sum(part.u**2 for part in parts) - own**2))
        for half, parts in (
            (high - value, lines.values()),
            (value - low, [part for part in lines.values() if not part.one_sided]),
        )
    )
    # Hysteresis of 0.002 mm, not declared: the truth is 0.001 mm higher on average.
    assert decided(result).number.interval() == pytest.approx((value - down, value + up + 0.001), rel=1e-6)


def test_the_lines_of_a_bare_sweep_are_the_defaults_of_a_fine_gauge() -> None:
    lines = lines_of(analysed(limit="0.2 mm"))
    assert set(lines) == {
        "gauge's own error",
        "hysteresis",
        "gauge set by eye",
        "drift that bends",
        "averaging of the gauge",
    }
    # JIS B 7503:2011 (public extract) for 0.001 mm: 0.002 mm, rectangular, and 0.002 mm of hysteresis.
    assert lines["gauge's own error"].u == pytest.approx(0.002 / math.sqrt(3.0), rel=1e-12)
    assert lines["hysteresis"].shift == pytest.approx(0.001, rel=1e-12)


def test_a_gauge_without_a_certificate_is_said_to_be_taken_as_of_its_kind() -> None:
    assert "gauge taken as +-0.002 mm: no certificate entered" in analysed(limit="0.2 mm").remarks
    assert not any("gauge taken as" in remark for remark in analysed().remarks)


def test_a_certificate_takes_the_place_of_the_default() -> None:
    bare, certified = (
        analysed(limit="0.2 mm", **declared)
        for declared in (
            {},
            {"gauge_error": "0.001 mm", "error_means": "U95", "gauge_hysteresis": "0.0002 mm"},
        )
    )
    assert not any("gauge taken as" in remark for remark in certified.remarks)
    # U95 / 2 of each of two readings.
    u_mm = lines_of(certified)["gauge's own error"].u
    assert u_mm == pytest.approx(0.001 / 2.0 * math.sqrt(2.0), rel=1e-12)
    assert decided(certified).guard_mm < decided(bare).guard_mm
    assert certified.pooled.tir_fit == bare.pooled.tir_fit


def test_the_guard_is_the_looks_share_of_scatter_joined_by_the_rest_and_what_stands_on_one_side() -> None:
    result = analysed(limit="0.2 mm")
    decision, uncertainty = decided(result), result.pooled.tir_fit.parts["turn to turn"]
    rest = [
        *lines_of(result).values(),
        *(
            part
            for name, part in result.pooled.tir_fit.parts.items()
            if name not in ("turn to turn", "cosine")
        ),
    ]
    fixed = 1.644854 * math.sqrt(sum(part.u**2 for part in rest if part.shift >= 0.0))
    random = t_quantile(1.0 - decision.looks.alpha, uncertainty.dof) * uncertainty.u
    # Found by drawing, the random part is Student's to a hundredth.
    assert decision.guard_mm == pytest.approx(math.hypot(random, fixed) + 0.001, rel=0.01)


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
    assert decided(result).number.value == result.pooled.form.value


def test_a_plain_wobble_in_the_guard_band_is_told_how_many_turns_would_decide() -> None:
    upper = decided(analysed(limit="1 mm")).number.one_sided()[1]
    decision = decided(analysed(limit=f"{upper - 0.00002:.7f} mm"))
    assert decision.state == "undecided"
    assert decision.more_turns is not None


def test_what_only_the_gauge_leaves_open_no_number_of_turns_decides() -> None:
    number = decided(analysed(limit="1 mm")).number
    fixed = 1.644854 * number.parts["gauge's own error"].u
    decision = decided(analysed(limit=f"{number.value + fixed:.7f} mm"))
    assert (decision.state, decision.more_turns) == ("undecided", None)


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
    assert decision.number.parts["last written digit"].u == pytest.approx(0.0254 / math.sqrt(6.0), rel=1e-9)
    # A dial read standing, of 0.01 mm and more: error 0.005, hysteresis 0.003 mm, stand 0.00017 mm; set square
    # by eye it only reads too much.
    lines = [0.0254 / math.sqrt(6.0), 0.005 / math.sqrt(3.0), 0.003 / math.sqrt(12.0), 150 * 11.5e-6 * 0.1]
    by_eye = 0.1016 * (1.0 - math.cos(math.radians(5.0))) / math.sqrt(12.0)
    assert decision.number.u == pytest.approx(math.hypot(*lines, by_eye), rel=1e-6)


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
    upper = decided(analysed(limit="1 mm", turns_planned="2")).number.one_sided()[1]
    more = decided(analysed(limit=f"{upper - 0.00002:.7f} mm", turns_planned="2")).more_turns
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


def test_a_form_of_typed_points_is_that_of_the_points() -> None:
    from logger.inputs.csv_file import typed_capture

    # Twelve places, 0.01 mm digits: a wobble of 2 with 0.04 mm up and down twice round.
    readings = [round(math.cos(k * math.pi / 6) + 0.02 * math.cos(k * math.pi / 3), 2) for k in range(12)]
    typed = " ".join(f"{30 * k}:{mm:.2f}" for k, mm in enumerate(readings)) + " mm"
    result = analyse(typed_capture(typed, {"limit": "0.5 mm", "limit_quantity": "form"}))
    assert (result.pooled.form_of, result.pooled.points) == ("points", 12)
    low, high = result.pooled.form.interval()
    assert low <= 0.04 <= high
    # Noise of a reading is its last written digit: a dial, decided with the gauge's own error too.
    assert decided(result).number.value == result.pooled.form.value
    assert decided(result).number.interval()[1] > high

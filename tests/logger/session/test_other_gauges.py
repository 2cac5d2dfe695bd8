"""Any other gauge gives the same answer within what it can know: lines, index, stops, steady, two ports."""

import math

import numpy as np
import pytest
from other_gauges import TRUTH, Seen, as_found, in_pieces

from analysis.capture.events import StopPressed
from analysis.errors import BadInput
from analysis.results import SweepResult, SweepSummary
from analysis.sweep.pipeline import analyse, fit_sweep
from logger.session.session import Session, replay
from logger.stream import Item

LIMIT = {"limit": "0.050 mm", "surface": "face"}
LINE = {
    "rig.line.pattern": r"^(?P<time>\d+) (?P<count>-?\d+) (?P<reading>-?\d+\.\d+)$",
    "rig.line.unit": "mm",
    "rig.line.time_unit": "us",
    "rig.encoder.counts_per_turn": "2400",
}
ONLY_READING = {
    "rig.line.pattern": r"^(?P<time>\d+) (?P<reading>-?\d+\.\d+)$",
    "rig.line.index": r"^mark (?P<time>\d+)",
}


@pytest.fixture(scope="module")
def seen() -> Seen:
    return as_found()


def sweep(items: list[Item], setup: dict[str, str]) -> SweepResult:
    return analyse(replay(items, {**LIMIT, **setup}).capture())


def inside(ends: tuple[float, float], truth: float, turn: float = 0.0) -> bool:
    off = truth - (ends[0] + ends[1]) / 2
    if turn:
        off = (off + turn / 2) % turn - turn / 2
    return abs(off) <= (ends[1] - ends[0]) / 2


def agrees(pooled: SweepSummary, *, angles: bool = True) -> None:
    assert inside(pooled.tir_fit.interval(), float(TRUTH["tir_fit_mm"] or 0))
    assert inside(pooled.tir_first.interval(), float(TRUTH["tir_first_mm"] or 0))
    if angles:
        assert inside(pooled.high_side.interval(), float(TRUTH["high_side_deg"] or 0), 360.0)
        assert inside(pooled.high_point.interval(), float(TRUTH["high_point_deg"] or 0), 360.0)


def lines_of(seen: Seen) -> list[tuple[float, str]]:
    return [
        (t, f"{round(t * 1e6)} {count} {reading:.3f}\n")
        for t, count, reading in zip(seen.t_s, seen.count, seen.reading_mm, strict=True)
    ]


def with_marks(seen: Seen) -> list[tuple[float, str]]:
    readings = [(t, f"{round(t * 1e6)} {r:.3f}\n") for t, r in zip(seen.t_s, seen.reading_mm, strict=True)]
    marks = [(t, f"mark {round(t * 1e6)}\n") for t in seen.pulse_s]
    return sorted(readings + marks)


def test_text_lines_with_counts_give_the_board_s_own_numbers(seen: Seen) -> None:
    result = sweep(in_pieces(lines_of(seen)), LINE)
    agrees(result.pooled)
    assert result.decision is not None
    assert result.decision.state == "over"
    assert result.angle_source == "encoder"
    assert result.gauge.resolution_mm == pytest.approx(0.001)


def test_lines_in_any_pieces_are_the_same_lines(seen: Seen) -> None:
    data = b"".join(item.data for item in in_pieces(lines_of(seen)))
    cut = [
        item
        for start in range(0, len(data), 37)
        for item in in_pieces([(0.0, data[start : start + 37].decode())])
    ]
    whole, pieces = replay(in_pieces(lines_of(seen)), LINE).capture(), replay(cut, LINE).capture()
    assert np.array_equal(whole.samples.angle_rad, pieces.samples.angle_rad)
    assert np.array_equal(whole.samples.reading_mm, pieces.samples.reading_mm)


def test_one_index_mark_a_turn_gives_the_numbers_within_wider_angles(seen: Seen) -> None:
    result = sweep(in_pieces(with_marks(seen)), ONLY_READING)
    assert result.angle_source == "index"
    agrees(result.pooled)
    width = result.pooled.high_side.interval()[1] - result.pooled.high_side.interval()[0]
    assert 5.0 < width < 60.0
    assert "angle" in result.pooled.tir_fit.parts


def test_a_steady_spin_gives_the_heights_and_says_angles_count_from_its_start() -> None:
    rng = np.random.default_rng(4)
    t = np.arange(0.0, 48.0, 0.02)
    phi = 2 * math.pi * t / 7.9 - 1.0
    reading = 0.071 * np.cos(phi - math.radians(63)) + 0.009 * np.cos(2 * phi - math.radians(40))
    noisy = np.round(reading + rng.normal(0, 0.0008, len(t)), 3)
    lines = [(float(x), f"{round(x * 1e6)} {y:.3f}\n") for x, y in zip(t, noisy, strict=True)]
    result = sweep(in_pieces(lines), {**ONLY_READING, "angle_source": "steady"})
    agrees(result.pooled, angles=False)
    assert any("start" in check.text for check in result.checks if check.name == "mark")
    assert any(check.name == "turns" and check.text.startswith("6") for check in result.checks)


def test_stops_at_eight_places_read_a_still_second_each_and_allow_for_what_lies_between() -> None:
    rng = np.random.default_rng(5)
    lines: list[tuple[float, str]] = []
    items: list[Item] = []
    session = Session({**LIMIT, **ONLY_READING, "angle_source": "stops", "places": "8"}, live=False)

    for place in range(9):
        phi = 2 * math.pi * place / 8
        height = 0.071 * math.cos(phi - math.radians(63)) + 0.009 * math.cos(2 * phi - math.radians(40))
        start = place * 3.0
        lines = [
            (start + k * 0.05, f"{round((start + k * 0.05) * 1e6)} {height + rng.normal(0, 0.0005):.3f}\n")
            for k in range(40)
        ]
        for item in in_pieces(lines):
            session.take(item)
        session.take_event(StopPressed())
    del items
    result = analyse(session.capture())
    assert result.angle_source == "stops"
    assert inside(result.pooled.tir_fit.interval(), float(TRUTH["tir_fit_mm"] or 0))
    assert result.decision is not None
    assert result.decision.state == "over"
    assert result.pooled.closure_mm == pytest.approx(0.0, abs=0.002)  # two medians of 20 readings of 0.5 um
    assert any("8 places can miss" in remark for remark in result.remarks)


def two_ports(seen: Seen, late_s: float) -> list[Item]:
    gauge = [(t, f"{reading:.3f}\n") for t, reading in zip(seen.t_s, seen.reading_mm, strict=True)]
    encoder = [(t, f"{count}\n") for t, count in zip(seen.t_s, seen.count, strict=True)]
    both = in_pieces(gauge, 0, late_s) + in_pieces(encoder, 1)
    return sorted(both, key=lambda item: item.host.monotonic_ns)


TWO = {
    "rig.line.pattern": r"^(?P<reading>-?\d+\.\d+)$",
    "rig.second.line.pattern": r"^(?P<count>-?\d+)$",
    "rig.second.encoder.counts_per_turn": "2400",
}


def test_a_gauge_and_an_encoder_on_two_ports_meet_on_the_host_s_clock(seen: Seen) -> None:
    result = sweep(two_ports(seen, 0.03), TWO)
    agrees(result.pooled)
    assert result.pooled.high_side.u > 1.0
    # At every speed a gauge that is late turns the part otherwise: nobody lost counts by that.
    assert result.decision is not None
    assert result.decision.state == "over"


def test_turning_both_ways_tells_how_late_the_gauge_s_port_is() -> None:
    t = np.arange(0.0, 80.0, 0.02)
    turned = np.where(t < 40, t, 80 - t) / 8.0
    count = np.round(turned * 2400).astype(np.int64)
    phi = 2 * math.pi * turned
    reading = 0.071 * np.cos(phi - math.radians(63)) + 0.009 * np.cos(2 * phi - math.radians(40))
    seen = Seen(t, count, reading + np.random.default_rng(6).normal(0, 0.0008, len(t)), [])
    result = sweep(two_ports(seen, 0.15), TWO)
    agrees(result.pooled)
    assert result.pooled.high_side.u < 0.5  # 5 ms of 45 degrees a second


def test_a_unit_that_changes_on_the_way_is_converted_and_refused(seen: Seen) -> None:
    lines = []
    for k, (t, count, reading) in enumerate(zip(seen.t_s, seen.count, seen.reading_mm, strict=True)):
        said = f"{reading:.3f} mm" if k <= 900 else f"{reading / 25.4:.5f} in"
        lines.append((t, f"{round(t * 1e6)} {count} {said}\n"))
    rig = {**LINE, "rig.line.pattern": r"^(?P<time>\d+) (?P<count>-?\d+) (?P<reading>\S+) (?P<unit>mm|in)$"}
    result = sweep(in_pieces(lines), rig)
    assert inside(result.pooled.tir_fit.interval(), float(TRUTH["tir_fit_mm"] or 0))
    assert [check.state for check in result.checks if check.name == "unit"] == ["refused"]
    assert result.decision is not None
    assert result.decision.state == "undecided"


def test_a_clock_that_runs_backwards_is_told(seen: Seen) -> None:
    lines = lines_of(seen)
    jumped = [(t, line if k < 700 else f"{round(t * 1e6) - 5_000_000} " + line.partition(" ")[2])
              for k, (t, line) in enumerate(lines)]  # fmt: skip
    result = sweep(in_pieces(jumped), LINE)
    (link,) = [check for check in result.checks if check.name == "link"]
    assert link.state == "doubtful"
    assert "ran backwards 1 time" in link.text


def test_lines_without_end_and_lines_of_nonsense_are_counted_and_cost_nothing_else(seen: Seen) -> None:
    lines = lines_of(seen)
    spoilt = [*lines[:500], (lines[500][0], "x" * 100_000 + "\n"), (lines[500][0], "hello\n\n"), *lines[500:]]
    session = replay(in_pieces(spoilt), LINE)
    assert session.capture().link is not None
    assert session.capture().link.bad == 2  # type: ignore[union-attr]
    assert len(session.capture().samples) == len(seen.t_s)


def test_a_pattern_that_matches_nothing_says_so_with_an_example(seen: Seen) -> None:
    session = replay(
        in_pieces(lines_of(seen)), {**LINE, "rig.line.pattern": r"^R=(?P<reading>\d+) C=(?P<count>\d+)$"}
    )
    with pytest.raises(BadInput, match="no line matched"):
        session.capture()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"rig.line.pattern": "(?P<reading>[}"}, "no regular expression"),
        ({"rig.line.pattern": r"(\d+)"}, "neither a group"),
        ({"rig.line.pattern": r"(?P<reading>\d+)(?P<speed>\d)"}, "unknown group speed"),
        ({"rig.encoder.counts_per_turn": "0"}, "above zero"),
        ({"rig.line.unit": "furlong"}, "no unit of length"),
        ({"rig.line.tune": "x"}, "no key of a rig"),
        ({"rig.line.time_unit": "min"}, "not one of"),
        ({"rig.port.baud": "9600.5"}, "no speed"),
    ],
)
def test_a_faulty_rig_is_refused_with_its_place(change: dict[str, str], words: str) -> None:
    with pytest.raises(BadInput, match=words):
        Session({**LINE, **change})


def test_without_encoder_index_or_stops_nothing_tells_the_angle(seen: Seen) -> None:
    rig = {"rig.line.pattern": ONLY_READING["rig.line.pattern"]}
    lines = [(t, f"{round(t * 1e6)} {r:.3f}\n") for t, r in zip(seen.t_s, seen.reading_mm, strict=True)]
    with pytest.raises(BadInput, match="nothing tells the angle"):
        replay(in_pieces(lines), rig).capture()


def spin(rpm: float, rate_hz: float = 10.0, seconds: float = 40.0) -> SweepResult:
    t = np.arange(0.0, seconds, 1.0 / rate_hz)
    phi = 2 * math.pi * rpm / 60.0 * t
    reading = 0.071 * np.cos(phi - math.radians(63)) + 0.009 * np.cos(2 * phi - math.radians(40))
    noisy = np.round(reading + np.random.default_rng(7).normal(0, 0.0008, len(t)), 3)
    return fit_sweep(phi, noisy, t, limit="0.050 mm", resolution_mm=0.001)


def test_a_gauge_that_keeps_step_with_the_turning_is_told_which_speeds_would_fill_the_turn() -> None:
    result = spin(100.0)
    check = next(one for one in result.checks if one.name == "gauge-rate")
    assert check.state == "refused"
    assert "only 6 places" in check.text
    assert "97 or 103" in check.do
    assert result.decision is not None
    assert result.decision.state == "undecided"


def test_at_a_filling_speed_many_turns_together_carry_the_orders() -> None:
    result = spin(97.0)
    assert result.pooled.highest_order == 15
    agrees(result.pooled)
    assert [one.state for one in result.checks if one.name == "gauge-rate"] == ["clear"]
    assert "averaging within a reading" in result.pooled.tir_fit.parts
    assert result.decision is not None
    assert result.decision.state == "over"

"""The parts of the live view, each by itself: rows, digits, canvas, newest pass, readout, keys, places, find."""

import math
from pathlib import Path

import numpy as np
import pytest

from analysis.errors import BadInput
from analysis.setup import parse_setup
from logger.acquisition import recording_files as naming
from logger.live.drawing.angle_words import crayon_offset_deg, from_tip, missing_words, place
from logger.live.drawing.braille_canvas import Canvas
from logger.live.drawing.large_digits import big, width_of
from logger.live.drawing.lengths import decimals_of, reading_text
from logger.live.drawing.plots import axis
from logger.live.drawing.rows import cells, fit, page, plain, wrapped
from logger.live.key_bindings import KEY_COMMANDS, command_of
from logger.live.key_presses import KeyRepeatFilter
from logger.live.state.pass_trace import PassTrace
from logger.live.state.readout import Readout
from logger.live.state.sample_ring import SampleBlock, SampleRing
from logger.live.tools.indicator_check_run import IndicatorCheckRun
from logger.live.tools.spot_finder import Spot, SpotFinder
from logger.live.tools.typed_entry import TypedEntry

FLANGE = parse_setup({"holes": "6", "track_radius": "110 mm", "tip_clock": "12"})


def block(t_s: list[float], angle_deg: list[float], reading: list[float], epoch: int = 0) -> SampleBlock:
    n = len(t_s)
    return SampleBlock(
        np.full(n, epoch),
        (np.array(t_s) * 1e9).astype(np.int64),
        np.array(t_s),
        np.array(angle_deg) * 2400.0 / 360.0,
        np.radians(angle_deg),
        np.array(reading),
        np.ones(n, bool),
    )


def even_turn(n: int = 400, turns: float = 1.0) -> SampleBlock:
    deg = np.linspace(0.0, 360.0 * turns, n, endpoint=False)
    return block(np.linspace(0.0, 8.0 * turns, n).tolist(), deg.tolist(), np.cos(np.radians(deg)).tolist())


@pytest.mark.parametrize("width", [1, 7, 80])
def test_a_row_is_exactly_as_wide_as_asked(width: int) -> None:
    assert cells(plain(fit((("abc ", "plain"), ("日本語", "strong")), width))) == width


def test_what_could_steer_a_terminal_is_replaced() -> None:
    assert "\x1b" not in plain(fit((("flange\x1b[2J\r\n", "plain"),), 40))


def test_a_page_is_exactly_as_high_as_asked() -> None:
    assert len(page([(("x", "plain"),)] * 99, 10, 7)) == 7


def test_a_long_sentence_is_broken_between_words() -> None:
    assert [plain(row) for row in wrapped("one two three", 7)] == ["one two", "three"]


@pytest.mark.parametrize("ascii_only", [False, True])
def test_digits_are_five_rows_of_one_width(ascii_only: bool) -> None:
    rows = big("-1.290", ascii_only=ascii_only)
    assert [len(row) for row in rows] == [width_of("-1.290")] * 5


def test_every_digit_looks_unlike_every_other() -> None:
    assert len({tuple(big(digit)) for digit in "0123456789-+."}) == 13


def test_ascii_digits_are_ascii() -> None:
    assert all(row.isascii() for row in big("0123456789.-", ascii_only=True))


def test_a_point_of_the_trace_hides_what_lies_behind_it() -> None:
    canvas = Canvas(2, 1)
    canvas.behind(0, 0, "--", "limit")
    canvas.dots(np.array([0.0]), np.array([0.0]))
    assert canvas.rows() == [(("⠁", "trace"), ("-", "limit"))]


def test_points_outside_the_canvas_are_left_out() -> None:
    canvas = Canvas(2, 1)
    canvas.dots(np.array([-5.0, 99.0, math.nan]), np.array([0.0, 0.0, 0.0]))
    assert not canvas.points.any()


def test_the_ring_gives_every_reading_once() -> None:
    sample_ring = SampleRing()
    sample_ring.push(even_turn(10))
    first = sample_ring.take()
    sample_ring.push(even_turn(7))
    assert (len(first), len(sample_ring.take()), len(sample_ring.take())) == (10, 7, 0)


def test_a_ring_that_nobody_empties_skips_the_oldest_and_counts_them() -> None:
    sample_ring = SampleRing(capacity=8)
    for k in range(5):
        sample_ring.push(block([float(k)] * 4, [0.0] * 4, [float(k)] * 4))
    newest = sample_ring.take()
    assert (newest.reading_mm.tolist(), sample_ring.skipped) == ([3.0] * 4 + [4.0] * 4, 12)


def test_a_new_pass_forgets_what_the_old_one_read_in_a_bin() -> None:
    pass_trace = PassTrace()
    pass_trace.add(np.array([0.001]), np.array([9.0]))
    pass_trace.add(np.radians(np.arange(5.0, 360.0, 5.0)), np.zeros(71))
    pass_trace.add(np.array([2 * math.pi + 0.001]), np.array([1.0]))
    assert (pass_trace.low[0], pass_trace.high[0]) == (1.0, 1.0)


def test_a_strip_has_a_gap_at_its_head() -> None:
    pass_trace = PassTrace()
    turn = even_turn(turns=1.3)
    pass_trace.add(turn.angle_rad, turn.reading_mm)
    low, _ = pass_trace.drawn()
    assert pass_trace.head is not None
    assert np.isnan(low[(pass_trace.head + 4) % 720])


def test_a_whole_turn_is_seen_all_round() -> None:
    pass_trace = PassTrace()
    pass_trace.add(even_turn().angle_rad, even_turn().reading_mm)
    assert pass_trace.missing() == []


def test_what_was_not_seen_is_named_by_clock_and_hole() -> None:
    pass_trace = PassTrace()
    pass_trace.add(np.radians(np.arange(0.0, 200.0, 2.0)), np.zeros(100))
    assert missing_words(pass_trace.missing(), FLANGE) == "7 to 12 o'clock, hole 5, hole 6"


def test_a_wide_blank_is_not_bridged() -> None:
    pass_trace = PassTrace()
    pass_trace.add(np.radians([0.0, 90.0]), np.zeros(2))
    assert len(pass_trace.missing()) == 2


def test_a_gauge_of_two_values_a_second_is_not_silent_between_them() -> None:
    readout = Readout()
    readout.take(block([0.0, 0.5, 1.0], [0.0, 9.0, 18.0], [0.0, 0.0, 0.0]))
    assert [readout.reading().silent(int(at * 1e9)) for at in (1.5, 2.4, 2.6)] == [False, False, True]


def test_a_fast_gauge_is_silent_after_half_a_second() -> None:
    readout = Readout()
    readout.take(even_turn())
    assert [readout.reading().silent(int((8.0 + wait) * 1e9)) for wait in (0.4, 0.6)] == [False, True]


def test_speed_is_of_the_newest_moment() -> None:
    readout = Readout()
    readout.take(even_turn())
    assert readout.reading().speed_rad_s == pytest.approx(
        2 * math.pi / 8.0, rel=0.02
    )  # steps of 20 ms at the ends


def test_high_and_low_know_their_places() -> None:
    readout = Readout()
    readout.take(even_turn())
    assert readout.high is not None
    assert readout.low is not None
    assert (readout.high[1], readout.low[1]) == (0.0, 180.0)


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [(1.25, 1.25 / 25.4, "in/mm"), (0.05, 1.27, "in/mm"), (1.25, 0.001, "zero"), (1.25, 1.26, "")],
)
def test_the_indicators_own_buttons_are_told_from_the_surface(
    before: float, after: float, words: str
) -> None:
    readout = Readout()
    readout.take(block([0.0, 0.1], [0.0, 1.0], [before, after]))
    jump = readout.take_jump()
    assert words in jump
    assert bool(jump) == bool(words)


def test_another_epoch_begins_the_strip_anew() -> None:
    readout = Readout()
    readout.take(even_turn())
    readout.take(block([9.0], [10.0], [0.0], epoch=1))
    assert int(readout.pass_trace.seen.sum()) == 1


def test_a_held_key_is_one_press() -> None:
    gate = KeyRepeatFilter()
    assert sum(gate.passes("space", 0.03 * k) for k in range(100)) == 1


def test_a_key_counts_again_after_a_pause() -> None:
    gate = KeyRepeatFilter()
    assert [gate.passes("z", at) for at in (0.0, 0.6, 1.2, 1.95)] == [True, False, False, True]


def test_capital_and_small_are_one_key() -> None:
    gate = KeyRepeatFilter()
    assert [gate.passes("M", 0.0), gate.passes("m", 0.1)] == [True, False]


def test_no_two_commands_share_a_key() -> None:
    keys = [key for command in KEY_COMMANDS for key in command.keys]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize("key", ["space", "pagedown", "enter"])
def test_a_pedal_walks_with_any_of_its_keys(key: str) -> None:
    command = command_of(key)
    assert command is not None
    assert command.name == "next"


def test_a_place_is_told_in_shop_words() -> None:
    assert place(63.0, FLANGE) == "63 deg = hole 2 plus 3 deg = 121 mm, 4.8 in past the part's mark"


def test_a_spot_past_the_tip_has_a_clock_place() -> None:
    assert from_tip(63.0, 173.0, FLANGE) == "110 deg past the tip, about 4 o'clock"


def test_the_crayon_is_reached_before_the_tip() -> None:
    setup = parse_setup({"tip_clock": "3", "crayon_at": "12"})
    assert crayon_offset_deg(setup) % 360.0 == 270.0


@pytest.mark.parametrize(
    ("angle", "direction", "to_go", "overshot"),
    [(10.0, 1, 53.0, False), (70.0, -1, 7.0, True), (63.2, 1, 0.2, False), (110.0, 1, 313.0, False)],
)
def test_the_arrow_shows_the_way_and_turns_round_after_an_overshoot(
    angle: float, direction: int, to_go: float, overshot: bool
) -> None:
    approach = SpotFinder(Spot("spot", 63.0), FLANGE, 2400.0, 1).approach(angle)
    if angle == 63.2:
        assert approach.here
    else:
        assert (approach.direction, round(approach.to_go_deg, 6), approach.overshot) == (
            direction,
            to_go,
            overshot,
        )


def test_here_rings_once() -> None:
    finder = SpotFinder(Spot("spot", 63.0), FLANGE, 2400.0, 1)
    assert [finder.approach(at).arrived for at in (62.0, 62.8, 63.0, 63.9, 64.2)] == [
        False, True, False, False, False,
    ]  # fmt: skip


def test_one_count_is_near_enough_for_a_coarse_encoder() -> None:
    finder = SpotFinder(Spot("spot", 63.0), FLANGE, 60.0, 1)
    assert finder.approach(60.5).here


@pytest.mark.parametrize(
    ("step", "unit", "decimals"),
    [
        (0.001, "mm", 3),
        (0.001, "in", 4),
        (0.0005, "mm", 4),
        (0.01, "mm", 2),
        (0.00127, "in", 5),
        (0.001, "um", 0),
    ],
)
def test_a_reading_is_no_finer_than_the_gauge(step: float, unit: str, decimals: int) -> None:
    assert decimals_of(step, unit) == decimals


def test_zero_has_no_sign() -> None:
    assert reading_text(-0.0001, 0.001, "mm") == "0.000"


def test_a_named_recording_goes_on_growing(tmp_path: Path) -> None:
    path = tmp_path / "running.mcap"
    with path.open("wb") as running:
        running.write(b"one")
        running.flush()
        named = naming.keep_as(path, "gear box 7", tmp_path)
        running.write(b"two")
    assert (named.name, named.read_bytes()) == ("gear-box-7.mcap", b"onetwo")


@pytest.mark.parametrize("name", ["", "../out", "a/b", ".hidden", "x" * 200])
def test_a_name_never_leads_out_of_the_folder(tmp_path: Path, name: str) -> None:
    path = tmp_path / "running.mcap"
    path.write_bytes(b"x")
    with pytest.raises(BadInput, match="is no name for a file"):
        naming.keep_as(path, name, tmp_path)


def test_typing_ends_by_asking_for_the_start_again() -> None:
    run = TypedEntry((0.0, 90.0, 180.0, 270.0), "thou")
    for text in ("0", "+3", "-2", "+3"):
        for character in text:
            run.key(character)
        run.enter()
    assert (run.place_deg, run.over) == (0.0, False)


def test_typed_readings_give_the_published_runout() -> None:
    # US Army TM 10-3930-664-24, p. 3-41: 0, +.003, -.002, +.003 in: TIR .005 in.
    run = TypedEntry((0.0, 90.0, 180.0, 270.0), "thou", ["0", "+3", "-2", "+3", "0"])
    found = run.analysed(FLANGE)
    assert found.result is not None
    assert found.result.pooled.tir_raw_mm == pytest.approx(5 * 0.0254)  # three products rounded


def test_what_is_no_number_is_asked_for_again() -> None:
    run = TypedEntry((0.0, 120.0, 240.0), "mm")
    run.key("-")
    run.enter()
    assert (run.typed, "is not a number" in run.problem) == ([], True)


def test_the_check_takes_four_still_seconds() -> None:
    run = IndicatorCheckRun(0.001)
    t = np.arange(0.0, 3.0, 0.02)
    run.press((t, np.zeros_like(t)))
    later = np.arange(0.0, 7.5, 0.02)
    found = run.tick((later, np.zeros_like(later)))
    assert found is not None
    assert (found.name, found.state, run.at) == ("still", "clear", 1)


@pytest.mark.parametrize("deg", [86.0, 90.0, 182.0])
def test_the_tick_of_the_tip_leaves_no_half_number_on_the_axis(deg: float) -> None:
    row = plain(axis(76, deg, "0 mark", ascii_only=True))
    assert row.replace("^", "").split() == [
        "0",
        "mark",
        *(n for n in ("90", "180", "270") if abs(int(n) - deg) > 10),
    ]

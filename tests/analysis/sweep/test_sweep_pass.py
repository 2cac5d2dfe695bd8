"""One pass gives the same to the last bit however the samples are cut into blocks."""

from collections.abc import Iterable
from dataclasses import fields, replace
from itertools import cycle

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from turned_by_hand import PIECES, recordings

from analysis.capture import Samples, Window
from analysis.capture.events import TimedEvent, TurnExcluded
from analysis.diagnosis import HeldValues
from analysis.errors import BadInput
from analysis.sweep import PassSettings
from analysis.sweep.sweep_pass import PassedSweep, SweepPass, pass_over

SETTINGS = (
    PassSettings(step_mm=0.001, counts_per_turn=400.0),
    PassSettings(counts_per_turn=2400.0, lag_s=0.013),
    PassSettings(counts_per_turn=36.0, lag_s=-0.4, gauge_table_mm=((-1.0, 0.001), (1.0, -0.002))),
    PassSettings(
        step_mm=0.01,
        cosine=0.966,
        windows=(Window(20.0, 70.0, "keyway"),),
        excluding=(TimedEvent(None, TurnExcluded(id=1, from_s=0.0, to_s=1.0)),),
    ),
)


def pieces_of(samples: Samples, lengths: list[int]) -> Iterable[Samples]:
    at = 0
    for length in cycle(lengths):
        if at >= len(samples):
            return
        yield samples.take(slice(at, at + length))
        at += length


def in_pieces(samples: Samples, lengths: list[int], settings: PassSettings) -> PassedSweep:
    one_pass = SweepPass(settings)
    for piece in pieces_of(samples, lengths):
        one_pass.feed(piece)
    return one_pass.finish()


def columns(passed: PassedSweep) -> list[np.ndarray]:
    """All arrays that a pass has made."""
    found = [*passed.segment.path.columns()]
    for direction in (1, -1):
        for part in passed.segment.gone_back(direction).parts():
            found += [np.array([part.furthest_rad]), part.t_s, part.angle_rad, part.reading_mm]
    try:
        reduced = passed.chosen.reduced.in_order()
    except BadInput:
        return found  # no turn counts
    if not reduced.counted_turns:
        return found
    sums, curves = reduced.sums, reduced.curves
    found += [getattr(sums, name) for name in ("number", "places", "heights_mm", "times_s", "square_mm2")]
    found += [curves.reading_mm, curves.t_s, curves.noise_share, reduced.occupied.angles_rad()]
    for turn in reduced.kept.turns.values():
        found += [turn.t_s, turn.angle_rad, turn.reading_mm]
    return found


def words(passed: PassedSweep) -> object:
    chosen = passed.chosen
    known = (passed.gauge.samples, passed.gauge.new, passed.gauge.gauge_facts(3), passed.extent)
    if not chosen.found:
        return known
    try:
        reduced = chosen.reduced.in_order()
    except BadInput as error:
        return known, str(error)
    turns = [replace(one.turn, where=()) for one in reduced.counted_turns]  # type: ignore[arg-type]
    return known, chosen.refused, chosen.other_direction, turns, passed.segment.under_way_s


@given(recordings(), PIECES, st.sampled_from(SETTINGS))
@settings(max_examples=120, deadline=None)
def test_the_blocks_change_no_bit(samples: Samples, lengths: list[int], chosen: PassSettings) -> None:
    whole, cut = pass_over(samples, chosen), in_pieces(samples, lengths, chosen)
    assert words(cut) == words(whole)
    of_cut, of_whole = columns(cut), columns(whole)
    assert len(of_cut) == len(of_whole)
    for one, other in zip(of_cut, of_whole, strict=True):
        np.testing.assert_array_equal(one, other)


@given(PIECES, st.integers(2, 9), st.booleans())
@settings(max_examples=40, deadline=None)
def test_held_values_are_marked_alike_in_any_pieces(lengths: list[int], held: int, flagged: bool) -> None:
    made = np.random.default_rng(held)
    n = 900
    reading = np.repeat(np.round(made.normal(0.0, 0.05, n // held + 1), 3), held)[:n]
    new = made.random(n) > 0.5 if flagged else np.ones(n, bool)
    samples = Samples(
        np.arange(n) * 0.01, np.zeros(n), reading, new, np.zeros(n, bool), np.zeros(n, np.int16)
    )

    def marked(pieces: Iterable[Samples]) -> np.ndarray:
        values = HeldValues(0.001)
        blocks = [block for piece in pieces for block in values.feed(piece)] + values.finish()
        return np.concatenate([block.new for block in blocks])

    np.testing.assert_array_equal(marked(pieces_of(samples, lengths)), marked([samples]))


def test_a_slow_gauge_is_told_by_its_beginning_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(HeldValues, "TOLD_BY", 400)
    n = 1000
    reading = np.repeat(np.random.default_rng(2).normal(0.0, 0.05, n // 5), 5)
    samples = Samples(
        np.arange(n) * 0.01, np.zeros(n), reading, np.ones(n, bool), np.zeros(n, bool), np.zeros(n, np.int16)
    )
    values = HeldValues(0.001)
    given = [len(block) for at in range(0, n, 50) for block in values.feed(samples.take(slice(at, at + 50)))]
    assert given == [50] * 20
    assert values.finish() == []


def test_samples_on_demand_are_read_only_when_a_column_is_asked_for() -> None:
    read = 0
    whole = Samples(
        *(np.arange(6.0) for _ in range(3)), np.ones(6, bool), np.zeros(6, bool), np.zeros(6, np.int16)
    )

    def blocks() -> Iterable[Samples]:
        nonlocal read
        read += 1
        yield whole.take(slice(0, 2))
        yield whole.take(slice(2, 6))

    samples = Samples.on_demand(blocks, "known")  # type: ignore[arg-type]
    assert samples.known == "known"
    assert [len(block) for block in samples.blocks()] == [2, 4]
    assert [len(block) for block in samples.blocks()] == [2, 4]
    assert read == 2
    for column in fields(Samples):
        np.testing.assert_array_equal(getattr(samples, column.name), getattr(whole, column.name))
    assert read == 3
    with pytest.raises(AttributeError):
        samples.speed  # noqa: B018


def test_a_pass_that_was_made_is_not_made_again() -> None:
    settings = PassSettings(step_mm=0.001)
    passed = SweepPass(settings).finish()

    def never() -> Iterable[Samples]:
        raise AssertionError("read again")

    samples = Samples.on_demand(never, passed)  # type: ignore[arg-type]
    assert pass_over(samples, settings) is passed
    with pytest.raises(AssertionError, match="read again"):
        pass_over(samples, replace(settings, lag_s=0.1))

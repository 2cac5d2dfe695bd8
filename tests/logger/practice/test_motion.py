"""Motion: pieces that join, whole turns that are whole, hands that rest, go back and turn round."""

from itertools import islice, pairwise, takewhile

import pytest
from hypothesis import given, strategies as st

from logger.practice.bench.course import Course
from logger.practice.bench.motion import Hand, Lathe, Motion, Piece, PushPull

MOTIONS = [Hand(), Hand(reverse_from=2), Lathe(), Lathe(100.0, 0.0, 0.0), PushPull(0.21)]
LONGEST_TURN_US = 12_000_000  # promised: at most 12 s a turn


def pieces(motion: Motion, until_done: float, seed: str = "a") -> list[Piece]:
    return list(takewhile(lambda piece: piece.done[0] < until_done, motion.pieces(seed)))


@pytest.mark.parametrize("motion", MOTIONS)
def test_every_piece_begins_where_the_one_before_ended(motion: Motion) -> None:
    for one, after in pairwise(pieces(motion, 12)):
        assert (one.end_us, one.turns[1], one.axial_mm[1], one.done[1]) == (
            *(after.start_us, after.turns[0]),
            *(after.axial_mm[0], after.done[0]),
        )


@pytest.mark.parametrize("motion", MOTIONS[:4])
@pytest.mark.parametrize("seed", ["a", "b", "c"])
def test_no_turn_takes_longer_than_promised(motion: Motion, seed: str) -> None:
    course = Course(motion.pieces(seed))
    times = [course.time_of(turn) for turn in range(61)]
    assert max(b - a for a, b in pairwise(times)) <= LONGEST_TURN_US


@pytest.mark.parametrize("motion", [Hand(), Lathe()])
def test_a_whole_turn_ends_on_a_whole_number(motion: Motion) -> None:
    ends = [piece.turns[1] for piece in pieces(motion, 20) if piece.done[1] == round(piece.done[1])]
    assert set(ends) == set(range(21))


def test_the_hand_goes_back_in_the_third_turn_and_in_no_other_of_five() -> None:
    back = [piece for piece in pieces(Hand(), 5) if piece.turns[1] < piece.turns[0]]
    assert [int(piece.done[0]) for piece in back] == [2]


def test_the_hand_comes_back_to_where_it_left_off_after_going_back() -> None:
    row = pieces(Hand(), 3)
    at = next(k for k, piece in enumerate(row) if piece.turns[1] < piece.turns[0])
    assert row[at + 2].turns[1] == row[at].turns[0]


def test_the_hand_rests_now_and_then() -> None:
    rests = [
        p for p in pieces(Hand(), 20)[1:] if p.turns[0] == p.turns[1] and p.end_us - p.start_us > 300_000
    ]
    assert rests


def test_a_hand_that_turns_round_undoes_as_many_turns() -> None:
    ends = [piece.turns[1] for piece in pieces(Hand(reverse_from=2), 4)]
    assert (max(ends), ends[-1]) == (2, 0)


def test_what_a_turn_does_depends_on_the_seed() -> None:
    assert pieces(Hand(), 1, "a") != pieces(Hand(), 1, "b")


def test_a_lathe_without_ripple_and_wander_takes_exactly_its_time() -> None:
    course = Course(Lathe(100.0, ripple=0.0, wander=0.0).pieces("a"))
    assert course.time_of(7) - course.time_of(6) == 600_000  # 60 s / 100


def test_a_pushed_shaft_does_not_turn() -> None:
    assert {turn for piece in pieces(PushPull(0.21), 3) for turn in piece.turns} == {0.0}


def test_a_pulled_shaft_stands_at_its_float_while_it_is_held() -> None:
    course = Course(PushPull(0.21).pieces("a"))
    assert course.place(course.time_of(0.65)).axial_mm == 0.21


@given(share=st.floats(0.0, 1.0), ripple=st.floats(0.0, 0.95), length_us=st.integers(1, 10**7))
def test_the_moment_of_a_share_is_the_first_at_which_it_is_behind(
    share: float, ripple: float, length_us: int
) -> None:
    piece = Piece(1000, 1000 + length_us, (0.0, 1.0), ripple=ripple)
    t_us = piece.when(share)
    assert t_us == piece.end_us or piece.share(t_us) >= share
    assert t_us == piece.start_us or piece.share(t_us - 1) < share


def test_looking_far_ahead_changes_nothing_that_comes_before() -> None:
    ahead = Course(Hand().pieces("a"))
    ahead.time_of(40)
    plain = Course(Hand().pieces("a"))
    times = range(0, 60_000_000, 777_777)
    assert [ahead.place(t) for t in times] == [plain.place(t) for t in times]


def test_looking_a_little_back_gives_the_same_place_again() -> None:
    course = Course(Hand().pieces("a"))
    places = {t: course.place(t) for t in range(0, 30_000_000, 100_000)}
    assert all(course.place(t) == place for t, place in reversed(list(places.items())[-20:]))


def test_before_the_beginning_the_part_stands_where_it_begins() -> None:
    assert Course(Hand().pieces("a")).place(-120_000).turns == 0.0


def in_order(*places: float) -> list[Piece]:
    """Return pieces of a second each through these places (turns)."""
    return [
        Piece(k * 1_000_000, (k + 1) * 1_000_000, (a, b), done=(float(k), float(k + 1)))
        for k, (a, b) in enumerate(pairwise(places))
    ]


def pulses(*places: float) -> list[tuple[int, int]]:
    course = Course(iter(in_order(*places)), pulse_width_turns=0.01)
    course.know_until((len(places) - 1) * 1_000_000)
    return [(pulse.number, pulse.direction) for pulse in course.pulses]


@pytest.mark.parametrize(
    ("places", "expected"),
    [
        ((0.0, 0.9), []),
        ((0.0, 1.0), [(1, 1)]),
        ((0.0, 1.0, 1.5), [(1, 1)]),
        ((0.0, 2.5), [(1, 1), (2, 1)]),
        ((0.0, 1.5, 0.5), [(1, 1), (1, -1)]),
        ((0.0, 1.005, 0.5), [(1, 1)]),
        ((0.0, -1.5), [(-1, -1)]),
        ((0.5, 0.2, 0.7), []),
    ],
)
def test_the_index_is_passed_once_each_way(
    places: tuple[float, ...], expected: list[tuple[int, int]]
) -> None:
    assert pulses(*places) == expected


def test_on_the_way_back_the_pulse_comes_its_own_width_early() -> None:
    course = Course(iter(in_order(0.0, 2.0, 0.0)), pulse_width_turns=0.25)
    course.know_until(2_000_000)
    back = [pulse.t_us for pulse in course.pulses if pulse.direction < 0]
    assert back == [1_375_000, 1_875_000]  # at 1.25 and 0.25 turns of 2 turns a second


def test_a_time_is_found_for_every_share_of_the_work() -> None:
    course = Course(islice(Lathe(10.0, 0.0, 0.0).pieces("a"), 40))
    assert course.time_of(2.5) == 250_000 + 15_000_000  # 0.25 s of rest, 6 s a turn

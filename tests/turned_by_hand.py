"""Recordings of a hand at an encoder, as hypothesis draws them, and pieces to cut them into."""

import math

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

from analysis.capture import Samples

COUNTS_PER_TURN = (36.0, 60.0, 400.0, 359.87, 2400.0, 20_000.0)


@st.composite
def recordings(draw: st.DrawFn) -> Samples:
    """Recordings of a hand that turns on, back, rests, trembles and jumps, with breaks and lost readings."""
    per_turn = draw(st.sampled_from(COUNTS_PER_TURN))
    sense = draw(st.sampled_from((1, -1)))
    seed = draw(st.integers(0, 2**32 - 1))
    made = np.random.default_rng(seed)
    count = [draw(st.sampled_from((0, 0, -3, 1, 7))) * draw(st.sampled_from((1, 5)))]
    pieces: list[NDArray[np.int64]] = [np.array(count)]
    segments = [np.zeros(1, np.int16)]
    segment = 0
    for _ in range(draw(st.integers(1, 9))):
        motion = draw(
            st.sampled_from(("on", "on", "on", "back", "rest", "tremble", "wander", "jump", "mark"))
        )
        turned = draw(st.floats(0.0, 3.3)) * per_turn
        n = draw(st.integers(1, 90))
        last = int(pieces[-1][-1])
        if motion in ("on", "back"):
            rows = np.round(np.linspace(0.0, turned if motion == "on" else -turned, n + 1))[1:]
        elif motion == "rest":
            rows = np.zeros(n)
        elif motion == "tremble":
            rows = made.integers(-1, 2, n)
        elif motion == "wander":
            rows = np.cumsum(made.integers(-1, 2, n) * round(turned / 3.0))
        elif motion == "jump":
            rows = np.array([round(turned * made.choice((-1, 1)))])
        else:  # comes to rest exactly at the mark
            rows = np.full(n, round(math.ceil(last / per_turn) * per_turn) - last)
        pieces.append(last + rows.astype(np.int64))
        if draw(st.integers(0, 9)) == 0:
            segment += draw(st.integers(1, 3))
        segments.append(np.full(len(rows), segment, np.int16))
    counts, segment_of = np.concatenate(pieces), np.concatenate(segments)
    keep = made.random(len(counts)) >= draw(st.sampled_from((0.0, 0.0, 0.1, 0.5)))
    keep[0] = True
    counts, segment_of = counts[keep], segment_of[keep]
    shake = draw(st.sampled_from((0.0, 0.0, 5e-5, 2e-3)))
    angle = counts * (2.0 * math.pi / per_turn * sense) + 2.0 * math.pi * shake * made.random(len(counts))
    n = len(counts)
    t_s = np.cumsum(made.choice((0.0, 0.001, 0.01, 2.0), n, p=(0.1, 0.5, 0.39, 0.01)))
    return Samples(t_s, angle, made.normal(size=n), made.random(n) > 0.3, made.random(n) > 0.9, segment_of)


PIECES = st.lists(st.integers(1, 120), min_size=1, max_size=8)
"""Lengths of blocks, again and again."""

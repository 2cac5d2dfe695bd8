"""What a wander of order 1 leaves in the other orders, where the axis moves steadily from turn to turn.

Order 1 fitted turn by turn takes the wander for steps at the mark. Between steps and a steady motion lies a
saw tooth on every turn, which orders 2 and above, and a line beside them, take for theirs. Where the axis
goes on the same way it is the same on every turn, so that no scatter between turns shows it.
"""

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def left_by_wander(angle_rad: Floats, turn: NDArray[np.int64], rows: Floats, kept: slice) -> Floats:
    """Return what one mm of order 1 at the middle of each turn makes of fitted coefficients.

    Parameters: unwrapped angles (rad) and the turn of each, shape (n,); all ``rows`` of the fit, (K, n), of
    which ``kept`` are wanted, k of them. Returns shape (2 (turns + 2), k): the cosine, then the
    sine, of the turn before the first, of each turn, and of the one after the last. From middle to middle the
    vector goes in a straight line. Own derivation.
    """
    whole = 2.0 * math.pi
    of_turns = np.unique(
        [whole * math.floor(float(np.median(angle_rad[turn == k])) / whole) for k in np.unique(turn)]
    )
    middles = np.array([of_turns[0] - whole, *of_turns, of_turns[-1] + whole]) + whole / 2.0
    weight = np.array([np.interp(angle_rad, middles, unit) for unit in np.eye(len(middles))])
    wave = np.stack([np.cos(angle_rad), np.sin(angle_rad)])
    made = (weight[:, None, :] * wave[None]).reshape(-1, len(angle_rad))
    fitted = np.linalg.solve(rows @ rows.T, rows @ made.T)
    return np.asarray(fitted[kept].T)

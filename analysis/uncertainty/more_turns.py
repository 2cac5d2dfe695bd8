"""How many more turns would decide: only the random part of an interval shrinks with them."""

import math
from collections.abc import Callable

_MOST_TURNS = 100


def turns_to_decide(
    *, turns: int, room_mm: float, random_mm: float, fixed_mm: float, factor: Callable[[int], float]
) -> int | None:
    """Return how many MORE turns would bring the one-sided limit clear of the limit, or None.

    Parameters: ``turns`` so far; ``room_mm`` from the value to the limit, less what stands on one side alone;
    the random one-sided half-width of one look at 5 %; everything in quadrature with it that turns do not
    shrink; ``factor`` by which the look after so many turns is held wider. None where the rest alone forbids
    a decision, or more than 100 further turns would be needed; 0 where it is decided already.
    """
    if room_mm <= fixed_mm:
        return None
    for more in range(_MOST_TURNS + 1):
        random = factor(turns + more) * random_mm * math.sqrt(turns / (turns + more))
        if math.hypot(random, fixed_mm) <= room_mm * (1.0 + 1e-9):
            return more
    return None

"""Commands over practice sweeps, each run once for all that is asked of it."""

from functools import lru_cache, partial

import running
from running import printed

HALF_AFTER, AFTER = "practice:wind-pump/half-turn-after", "practice:wind-pump/after-cut"
FOUND, MOUNT = "practice:wind-pump/as-found", "practice:wind-pump/mount-2"
ARBOR, INNER = "practice:wind-pump-shop/arbor", "practice:wind-pump-shop/mount-2-inner"
TWO_TIPS, DISC = "practice:turntable/two-tips", "practice:bicycle-disc/two-tips"
RIG = "practice:check-rig"


ran = lru_cache(maxsize=64)(printed)
"""What a command prints, run once for all that is asked of it."""
json_of = partial(running.json_of, ran=ran)


def inside(value: float, interval: list[float]) -> bool:
    return interval[0] <= value <= interval[1]

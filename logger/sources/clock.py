"""The clocks of this computer, as one moment."""

import time
from collections.abc import Callable

from logger.stream import HostTime

Clock = Callable[[], HostTime]


def host_now() -> HostTime:
    """Return the wall clock and the monotonic clock of this computer, nanoseconds."""
    return HostTime(time.time_ns(), time.monotonic_ns())

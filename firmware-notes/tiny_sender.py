"""A whole board in thirty lines: prints a line a reading, for ``fullturn record`` with ``tiny_sender.toml``.

Put your own two functions in place of the ones below: the count of your encoder and the reading of your
gauge, in mm. Through a pipe:  python tiny_sender.py | fullturn record - --rig tiny_sender.toml --turns 3
To a port:  python tiny_sender.py /dev/ttyUSB1
"""

import math
import sys
import time

COUNTS_PER_TURN = 2400
SECONDS_PER_TURN = 8.0


def read_count(t_s: float) -> int:
    """Return the encoder's count (here: a part that turns by itself)."""
    return int(t_s / SECONDS_PER_TURN * COUNTS_PER_TURN)


def read_gauge_mm(count: int) -> float:
    """Return the gauge's reading in mm (here: a face that runs out by 0.08, high at 120 degrees)."""
    return 0.04 * math.cos(2 * math.pi * count / COUNTS_PER_TURN - math.radians(120))


def main() -> None:
    """Send fifty readings a second until nobody listens, or for as many seconds as the last argument says."""
    seconds = float(sys.argv[2]) if len(sys.argv) > 2 else math.inf
    out = sys.stdout
    if len(sys.argv) > 1 and sys.argv[1] != "-":
        out = open(sys.argv[1], "w")  # noqa: SIM115 - the port stays open as long as the board lives
    begun = time.monotonic()
    while (t_s := time.monotonic() - begun) < seconds:
        count = read_count(t_s)
        print(f"{t_s * 1e6:.0f} {count} {read_gauge_mm(count):.3f}", file=out, flush=True)
        time.sleep(0.02)


if __name__ == "__main__":
    try:
        main()
    except (BrokenPipeError, KeyboardInterrupt):
        sys.stderr.close()

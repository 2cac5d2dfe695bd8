"""What the link did, kept apart from what it carried: frames lost, readings dropped, silence, restarts.

Three losses, three causes: a gap in the sequence numbers is the link's, a step in ``dropped`` the board's, a
step in ``enc_errors`` the encoder's. Knows nothing of angles.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from analysis.capture import Gap, LinkCounts
from analysis.capture.events import GapCause
from logger.decoding.boot_samples import BootSamples
from logger.wire.counters import step16
from logger.wire.messages import STALLED_S, Heartbeat


@dataclass
class LinkStatistics:
    """The running account of one link."""

    lost: int = 0
    dropped: int = 0
    enc_errors: int = 0
    word_errors: int = 0
    rx_errors: int = 0
    not_decoded: int = 0
    """Bytes since decoding was given up."""
    given_up: str = ""
    """Why nothing more of this link is decoded, in words; empty while all is."""
    unplugged_at: list[tuple[int, int]] = field(default_factory=list)
    """(number of the boot, samples before) of each time the cable was out."""
    _seq: int | None = None
    _beat: Heartbeat | None = None

    def frames(self, seqs: NDArray[np.uint16]) -> list[tuple[int, int]]:
        """Take sequence numbers in order; return (position among them, frames lost before it)."""
        if not len(seqs):
            return []
        steps = np.empty(len(seqs), np.uint16)  # numbers of 16 bits: differences wrap as they do
        steps[1:] = seqs[1:] - seqs[:-1] - 1
        steps[0] = 0 if self._seq is None else (int(seqs[0]) - self._seq - 1) & 0xFFFF
        self._seq = int(seqs[-1])
        gaps = [(int(where), int(steps[where])) for where in np.flatnonzero(steps)]
        self.lost += sum(count for _, count in gaps)
        return gaps

    def beat(self, beat: Heartbeat) -> int:
        """Take a heartbeat; return how many impossible encoder steps it adds."""
        before, self._beat = self._beat, beat
        if before is None:
            return 0
        self.dropped += step16(before.dropped, beat.dropped)
        self.word_errors += step16(before.word_errors, beat.word_errors)
        self.rx_errors += step16(before.rx_errors, beat.rx_errors)
        errors = step16(before.enc_errors, beat.enc_errors)
        self.enc_errors += errors
        return errors

    def restarted(self) -> None:
        """The board began anew: its sequence numbers and counters too."""
        self._seq = None
        self._beat = None

    def counts(self, frames: int, bad: int, restarts: int, gaps: tuple[Gap, ...] = ()) -> LinkCounts:
        """Return the account as a result."""
        return LinkCounts(
            frames=frames,
            bad=bad,
            lost=self.lost,
            dropped=self.dropped,
            enc_errors=self.enc_errors,
            word_errors=self.word_errors,
            rx_errors=self.rx_errors,
            restarts=restarts,
            not_decoded=self.not_decoded,
            gaps=gaps,
        )

    def gaps(self, boots: Sequence[BootSamples]) -> tuple[Gap, ...]:
        """Return where frames were lost or nothing came, by device time, in order."""
        gaps: list[Gap] = []
        out: dict[int, list[int]] = {}
        for number, at in self.unplugged_at:
            out.setdefault(number, []).append(at)
        first = next((boot for boot in boots if len(boot)), None)
        for number, boot in enumerate(boots):
            n = len(boot)
            if n < 2 or first is None:
                continue
            unplugged = {_inside(at, n) for at in out.get(number, [])}
            lost: dict[int, int] = {}
            for at, count in boot.lost_at:
                lost[_inside(at, n)] = lost.get(_inside(at, n), 0) + count
            silences = [place for place in boot.silent_at if place < n]
            times_s = {
                place: (boot.time_s(first, place - 1), boot.time_s(first, place))
                for place in {*lost, *unplugged, *silences}
            }
            silent = {place for place in silences if times_s[place][1] - times_s[place][0] > STALLED_S}
            for place in sorted(lost.keys() | silent | unplugged):
                why = GapCause.LOST if place in lost else GapCause.STALLED
                # The note of the cable comes a reading early or late: bytes were still under way.
                if not unplugged.isdisjoint((place - 1, place, place + 1)):
                    why = GapCause.UNPLUGGED
                gaps.append(Gap(*times_s[place], lost.get(place, 0), why))
        return tuple(gaps)


def _inside(at: int, n: int) -> int:
    return min(max(at, 1), n - 1)

"""Lines of text from any device: bytes in, readings in nanometres out, what cannot be read counted.

Lines are cut at the newline whatever the pieces; one longer than any sensible line is thrown away and counted
once. Knows nothing of ports; host time comes with the bytes.
"""

import re
from dataclasses import dataclass, field

from analysis.units import MM_PER
from logger.decoding.rig import LineRule
from logger.decoding.rig_fields import LineCheck
from logger.wire.framing import crc16

FARTHEST_MM = 1e6
"""No reading of a gauge is further from zero ..."""
FARTHEST = 1 << 62
"""... nor any count or time in microseconds."""
NM_PER_MM = 1_000_000
SAMPLES_KEPT = 3
"""How many lines that matched nothing are kept to be shown."""


@dataclass(frozen=True, slots=True)
class LineSample:
    """One line's values; None where the line has no such group."""

    t_us: int
    """Device time where the line has one, else the host's, microseconds."""
    value_nm: int | None
    count: int | None
    index: bool = False
    """True for a line that only tells the passing of the index mark."""


@dataclass
class LineDecoder:
    """Takes pieces of text and gives samples, in order."""

    rule: LineRule
    newline: str = "\n"
    lines: int = 0
    """Lines that were read."""
    bad: int = 0
    """Lines that matched nothing, failed their check, or had no number where one belongs."""
    backwards: int = 0
    """How often the device's clock ran backwards."""
    examples: list[str] = field(default_factory=list)
    """The first lines that could not be read."""
    unit_changes: list[tuple[str, str, int]] = field(default_factory=list)
    """(from, to, t_us) of each change of the unit said on the lines."""
    has_clock: bool = False
    """True once a line carried the device's own time."""
    _tail: bytes = b""
    _skipping: bool = False
    _unit: str = ""
    _last_us: int | None = None

    def feed(self, host_us: int, data: bytes) -> list[LineSample]:
        """Take the next bytes, read at this time of the host, and return the samples of whole lines."""
        cut = self.newline.encode()
        *whole, self._tail = (self._tail + data).split(cut)
        found = []
        for line in whole:
            if self._skipping:
                self._skipping = False
                continue
            if len(line) > self.rule.longest:
                self._refuse(line[:80].decode("ascii", "replace"))
            elif (sample := self._line(line, host_us)) is not None:
                found.append(sample)
        if len(self._tail) > self.rule.longest:
            if not self._skipping:
                self._refuse(self._tail[:80].decode("ascii", "replace"))
            self._skipping, self._tail = True, b""
        return found

    def _line(self, raw: bytes, host_us: int) -> LineSample | None:
        text = raw.decode("ascii", "replace").strip("\r\n \t\0")
        if not text:
            return None
        try:
            sample = self._sample(text, host_us)
        except (ValueError, KeyError, OverflowError):
            sample = None
        if sample is None:
            self._refuse(text)
        else:
            self.lines += 1
        return sample

    def _sample(self, text: str, host_us: int) -> LineSample | None:
        """Return what a line says, None for a line of another kind; raises where a number is none."""
        if self.rule.index is not None and (passed := self.rule.index.search(text)):
            return LineSample(self._time(passed, host_us), None, self._count(passed), index=True)
        match = self.rule.pattern.search(text)
        if match is None or not self._check_holds(text, match):
            return None
        count = self._count(match)
        t_us = self._time(match, host_us)
        return LineSample(t_us, self._value(match, t_us), count)

    def _refuse(self, text: str) -> None:
        self.bad += 1
        if len(self.examples) < SAMPLES_KEPT:
            self.examples.append(text[:80])

    def _value(self, match: re.Match[str], t_us: int) -> int | None:
        text = match.groupdict().get("reading")
        if text is None:
            return None
        number = float(text.replace(self.rule.decimal, ".").replace(" ", ""))
        unit = self.rule.unit
        if "unit" in match.groupdict() and match["unit"]:
            unit = match["unit"]
        per = MM_PER.get(unit) or MM_PER[unit.lower()]
        if not abs(number * per) <= FARTHEST_MM:
            raise OverflowError(f"{number:g} {unit} is no reading")
        if self._unit and unit != self._unit:
            self.unit_changes.append((self._unit, unit, t_us))
        self._unit = unit
        return round(number * per * NM_PER_MM)

    @staticmethod
    def _count(match: re.Match[str]) -> int | None:
        text = match.groupdict().get("count")
        count = int(text) if text else None
        if count is not None and abs(count) > FARTHEST:
            raise OverflowError(f"{text} is no count")
        return count

    def _time(self, match: re.Match[str], host_us: int) -> int:
        text = match.groupdict().get("time")
        if not text:
            return host_us
        t_us = round(float(text.replace(self.rule.decimal, ".")) * self.rule.time_unit.seconds * 1e6)
        if abs(t_us) > FARTHEST:
            raise OverflowError(f"{text} is no time")
        self.has_clock = True
        # A clock of 32 bits starts again at 0: that is no running backwards.
        if self._last_us is not None and -(1 << 31) < t_us - self._last_us < 0:
            self.backwards += 1
        self._last_us = t_us
        return t_us

    def _check_holds(self, text: str, match: re.Match[str]) -> bool:
        if self.rule.check is None:
            return True
        if not match.groupdict().get("check"):
            return False
        covered = text[: match.start("check")].rstrip("*").encode("ascii", "replace")
        try:
            wanted = int(match["check"], 16)
        except ValueError:
            return False
        if self.rule.check is LineCheck.CRC16:
            return crc16(covered) == wanted
        if self.rule.check is LineCheck.XOR8:
            folded = 0
            for byte in covered:
                folded ^= byte
            return folded == wanted
        return sum(covered) & 0xFF == wanted

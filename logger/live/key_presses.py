"""What counts as a press: a held key is one, and to end, to take back and to unlock takes two.

A press counts only if that key, counted or not, has not arrived for 0.7 s; capital and small are one key.
Repeats of a keyboard begin after a quarter to two thirds of a second and then come closer together than any
finger: by that a second press is told from a key held down.
"""

APART_S = 0.7
_REPEATABLE = ("up", "down", "left", "right")
"""Moving about in a list may repeat: nothing is done by it."""

ARMED_S = 3.0
"""The second press has to come within so long."""
LEAST_S = 0.3
"""A press sooner than this after the last one bounced, or is held down."""
HELD_S = 0.15
"""No further press for so long: the second one was no repeat."""


class KeyRepeatFilter:
    """Lets a key through once, however long it is held."""

    def __init__(self) -> None:
        self._last: dict[str, float] = {}

    def passes(self, key: str, now_s: float) -> bool:
        """Tell whether this arrival of a key counts; it is remembered either way."""
        key = key.lower()
        before = self._last.get(key)
        self._last[key] = now_s
        return key in _REPEATABLE or before is None or now_s - before >= APART_S


class SecondPress:
    """Waits for the second press of one command; another command in between forgets it."""

    def __init__(self) -> None:
        self._name, self.words = "", ""
        """``words``: what the second press will do."""
        self._armed_s = self._last_s = 0.0
        self._due_s: float | None = None

    def press(self, name: str, words: str, now_s: float) -> None:
        """Take one press of a command that is to be asked for twice."""
        if name != self._name or now_s > self._armed_s + ARMED_S:
            self._name, self.words = name, words
            self._armed_s, self._due_s = now_s, None
        elif self._due_s is not None:
            self.forget()
        elif now_s - self._last_s >= LEAST_S:
            self._due_s = now_s + HELD_S
        self._last_s = now_s

    def forget(self) -> None:
        """Wait no longer: something else was done."""
        self._name = self.words = ""
        self._due_s = None

    def take(self, now_s: float) -> str:
        """Return the command that was asked for twice and is to be done now, once; else nothing."""
        name = self._name
        if name and self._due_s is not None and now_s >= self._due_s:
            self.forget()
            return name
        if name and self._due_s is None and now_s > self._armed_s + ARMED_S:
            self.forget()
        return ""

"""A line typed or scanned at a terminal that gives single keys, and the pedal beside it."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

PEDAL = ("\x1b[6~",)
"""PageDown, as pedals and presenters send it."""
_RUB_OUT = ("\x7f", "\b")
_ENTER = "\r\n"
APART_S = 0.7
"""An empty Enter so soon after a line is the second end of that line, as some scanners send two."""


@dataclass(frozen=True)
class Line:
    """A whole line."""

    text: str


@dataclass(frozen=True)
class Begin:
    """SPACE on an empty line, or the pedal."""


class TypedLine:
    """Makes lines of keys, and echoes them."""

    def __init__(self, echo: Callable[[str], None], clock: Callable[[], float]) -> None:
        """``echo`` shows what was typed; ``clock`` in seconds."""
        self._echo, self._clock = echo, clock
        self._text = ""
        self._ended_s = -APART_S

    @property
    def empty(self) -> bool:
        """Tell whether nothing stands in the line."""
        return not self._text

    def take(self, keys: str) -> Iterator[Line | Begin]:
        """Yield what these keys end: lines, and the wish to begin."""
        while keys:
            pedal = next((one for one in PEDAL if keys.startswith(one)), "")
            key, keys = (pedal, keys[len(pedal) :]) if pedal else (keys[0], keys[1:])
            if key in _ENTER:
                yield from self._enter()
            elif pedal or (key == " " and self.empty):
                self._text = ""
                yield Begin()
            elif key in _RUB_OUT:
                self._rub_out()
            elif key == "\x1b":
                keys = keys[_length_of_sequence(keys) :]
            else:
                self._text += key
                self._echo(key if key.isprintable() else "?")

    def _enter(self) -> Iterator[Line | Begin]:
        now_s, text = self._clock(), self._text
        self._text = ""
        if text:
            self._ended_s = now_s
            self._echo("\n")
            yield Line(text)
        elif now_s - self._ended_s >= APART_S:
            yield Begin()

    def _rub_out(self) -> None:
        if self._text:
            self._text = self._text[:-1]
            self._echo("\b \b")


def _length_of_sequence(after_escape: str) -> int:
    """Return how many characters of what follows an Esc belong to the key that sent it."""
    if after_escape[:1] not in ("[", "O"):
        return 0
    end = next((k for k, one in enumerate(after_escape[1:], 1) if one.isalpha() or one == "~"), None)
    return len(after_escape) if end is None else end + 1

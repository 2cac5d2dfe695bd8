"""Commands to the board and its answers, as text; both ends of the conversation. Sends nothing itself.

This contract stands over every function and class here:

* A command is one line of printable ASCII ended by LF, at most 40 characters with it: an optional token
  (a decimal number, 0 to 65535), a verb, and arguments, one space between. ``7 rate 1000``.
* The answer repeats the token: ``7 ok rate 1000`` in a Reply, ``7 err range`` in a BoardError.
* Commands are idempotent: the PC repeats one until its token comes back.
* ``format_command`` refuses (ValueError) what could not be sent; reading never raises on any text or bytes.
"""

from typing import NamedTuple

VERBS = frozenset({"hello", "start", "stop", "zero", "rate", "mode", "ping", "ident", "beep", "lamp"})
MODES = ("single", "batch", "text")
MAX_LINE = 40
"""Characters of the longest command line."""
MAX_TOKEN = 0xFFFF
_TOKEN_DIGITS = len(str(MAX_TOKEN))


class Command(NamedTuple):
    """A command as the board reads it."""

    token: int | None
    verb: str
    """First word, in small letters as sent; not checked against ``VERBS``."""
    args: tuple[str, ...]


class Answer(NamedTuple):
    """A board's answer."""

    token: int | None
    """None if it names no token: it then belongs to no command."""
    ok: bool
    """True only if the board said ``ok``."""
    words: tuple[str, ...]
    """What followed: the verb and its values, or the reason of a refusal."""


def format_command(verb: str, *args: str | int, token: int | None = None) -> bytes:
    """Return the line to send, with its LF; ValueError for an unknown verb or a line that cannot be sent."""
    if verb not in VERBS:
        raise ValueError(f"found the verb {verb!r}, expected one of {', '.join(sorted(VERBS))}")
    if token is not None and not 0 <= token <= MAX_TOKEN:
        raise ValueError(f"found the token {token}, expected 0 to {MAX_TOKEN}")
    words = [] if token is None else [str(token)]
    words += [verb, *map(str, args)]
    if any(not word.isascii() or not word.isprintable() or " " in word or not word for word in words):
        raise ValueError(f"found {' '.join(words)!r}, expected words of printable ASCII without spaces")
    line = " ".join(words) + "\n"
    if len(line) > MAX_LINE:
        raise ValueError(f"found a line of {len(line)} characters, expected at most {MAX_LINE}")
    return line.encode("ascii")


def parse_answer(text: str) -> Answer:
    """Return what the text of a Reply or BoardError says; any other shape is not ok, and no token."""
    words = text.split()
    token, rest = _take_token(words)
    if not rest or rest[0] not in ("ok", "err"):
        return Answer(None, False, tuple(words))
    return Answer(token, rest[0] == "ok", tuple(rest[1:]))


class CommandParser:
    """The board's side: takes bytes in pieces of any size and gives the commands of the finished lines."""

    def __init__(self) -> None:
        self.rx_errors = 0
        """Lines that could not be read: too long, not printable, or without a verb. Wraps nowhere."""
        self._line = bytearray()

    def feed(self, data: bytes) -> list[Command]:
        """Take the next bytes and return the commands read; CR is dropped, empty lines are ignored."""
        commands: list[Command] = []
        for byte in data:
            if byte == 0x0A:
                if self._line:
                    self._finish(commands)
                self._line.clear()
            elif byte != 0x0D and len(self._line) <= MAX_LINE:  # one byte too many marks it, more is lost
                self._line.append(byte)
        return commands

    def _finish(self, commands: list[Command]) -> None:
        readable = len(self._line) <= MAX_LINE and all(0x20 <= byte < 0x7F for byte in self._line)
        token, rest = _take_token(self._line.decode("ascii").split()) if readable else (None, [])
        if rest:
            commands.append(Command(token, rest[0], tuple(rest[1:])))
        else:
            self.rx_errors += 1


def _take_token(words: list[str]) -> tuple[int | None, list[str]]:
    """Return the token at the head of a line, if there is one, and the rest."""
    first = words[0] if words else ""
    if first.isascii() and first.isdigit() and len(first) <= _TOKEN_DIGITS and int(first) <= MAX_TOKEN:
        return int(first), words[1:]
    return None, words

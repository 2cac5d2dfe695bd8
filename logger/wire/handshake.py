"""The handshake with a board, without the port: what to send when, and what the answers mean.

This contract stands over both classes here: time is an argument, in seconds of any clock that never goes
back; ``poll`` gives the bytes to send now, often none, and is called at least every 100 ms or so; ``receive``
takes every message that is not a sample, in order; neither raises nor waits. ``zero`` is never sent. What
went wrong stands in ``problem``: one line with what was found, what was expected and what to do.

``hello`` is sent every 300 ms for up to 3 s, since a board may reset when its port opens. Once the version
is known to be ours, ``stop``, ``rate`` (only when one is asked for), ``mode``, further commands and
``start`` follow, each repeated 5 times every 300 ms until its token comes back. Between them the channels
that the hello promised are waited for, and asked for again by another ``hello``. A hello with another
boot_id meanwhile means that the board has restarted: all of it begins anew from ``stop``.
"""

from collections.abc import Sequence
from enum import StrEnum

from logger.wire.board_commands import MAX_TOKEN, MODES, Answer, format_command, parse_answer
from logger.wire.layout import WIRE_VERSION
from logger.wire.messages import BoardError, Channel, Hello, Message, Reply

REPEAT_S = 0.3
"""Seconds between two tries."""
TRIES = 5
HELLO_WAIT_S = 3.0
"""Seconds without a hello after which the opening has failed."""

_EARLY_S = 1e-9
"""Seconds by which a try may come early: sums of 0.3 are not exact."""


class CommandState(StrEnum):
    """How far a command has come."""

    ASKING = "asking"
    DONE = "done"
    REFUSED = "refused"
    SILENT = "silent"


class HandshakeState(StrEnum):
    """How far a board has been brought."""

    WAITING = "waiting"
    CONFIGURING = "configuring"
    READY = "ready"
    FAILED = "failed"

    @property
    def is_final(self) -> bool:
        """True where nothing more is sent and no answer changes anything."""
        return self in (HandshakeState.READY, HandshakeState.FAILED)


class Repeater:
    """One command, repeated until its token comes back.

    Raises ValueError at once if the command could not be sent.
    """

    def __init__(self, verb: str, *args: str | int, token: int) -> None:
        self.state = CommandState.ASKING
        self.answer: Answer | None = None
        """What came back, for its values (``rate 1000``) or the reason of a refusal."""
        self.problem = ""
        """One line when refused or silent, else empty."""
        self.verb = verb
        self._token = token
        self._line = format_command(verb, *args, token=token)
        self._words = " ".join([verb, *map(str, args)])
        self._sent = 0
        self._due_s: float | None = None

    def poll(self, now_s: float) -> bytes:
        """Return the line to send now, or nothing; after the last try has gone unanswered it is silent."""
        if self.state is not CommandState.ASKING:
            return b""
        if self._due_s is not None and now_s < self._due_s - _EARLY_S:
            return b""
        if self._sent == TRIES:
            self.state = CommandState.SILENT
            self.problem = (
                f"The board did not answer `{self._words}`, sent {TRIES} times: expected "
                f"`{self._token} ok {self._words}`; check the cable and the baud rate, or reset the board."
            )
            return b""
        self._sent += 1
        self._due_s = now_s + REPEAT_S
        return self._line

    def receive(self, message: Message) -> None:
        """Take a message; only an answer with this token, after the command went out, counts."""
        if self.state is not CommandState.ASKING or not self._sent:
            return
        if not isinstance(message, Reply | BoardError):
            return
        answer = parse_answer(message.text)
        if answer.token != self._token:
            return
        if isinstance(message, BoardError) or not answer.ok:
            self.state = CommandState.REFUSED
            self.answer = answer
            self.problem = (
                f"The board refused `{self._words}` with `{message.text}`: expected "
                f"`{self._token} ok {self._words}`; ask for something this board can do."
            )
        elif answer.words[:1] in ((), (self.verb,)):  # else a late answer to another use of this token
            self.state = CommandState.DONE
            self.answer = answer


class Handshake:
    """Brings a board from an opened port to streaming samples.

    ``rate_hz`` 0 leaves the board's own rate; ``mode`` is single, batch or text; ``extra`` are further
    commands, each a verb with its arguments, sent before ``start``. ``first_token`` is where tokens begin:
    another one each time keeps late answers to an earlier opening apart. Raises ValueError for a command
    that could not be sent, and for ``zero``.
    """

    def __init__(
        self,
        rate_hz: int = 0,
        mode: str = "single",
        extra: Sequence[Sequence[str | int]] = (),
        first_token: int = 1,
    ) -> None:
        if mode not in MODES:
            raise ValueError(f"found the mode {mode!r}, expected one of {', '.join(MODES)}")
        if any(command[0] == "zero" for command in extra):
            raise ValueError("found `zero` among the commands of an opening, expected it by itself, later")
        self._before: list[Sequence[str | int]] = [("stop",)]
        self._before += [("rate", rate_hz)] if rate_hz > 0 else []
        self._before += [("mode", mode), *extra]
        for verb, *args in self._before:
            format_command(str(verb), *args, token=MAX_TOKEN)  # refused now rather than half-way
        self.state = HandshakeState.WAITING
        self.problem = ""
        """One line when failed, else empty."""
        self.hello: Hello | None = None
        """The newest hello of this version."""
        self.channels: dict[int, Channel] = {}
        """Channels described since that hello's restart, by number."""
        self.answers: dict[str, tuple[str, ...]] = {}
        """What the board said to each verb: ``{"rate": ("rate", "1000")}``."""
        self._token = first_token
        self._began_s: float | None = None
        self._hello_due_s = 0.0
        self._hellos_for_channels = 0
        self._left: list[Sequence[str | int]] = []
        self._asking: Repeater | None = None

    def poll(self, now_s: float) -> bytes:
        """Return what to send now, often nothing."""
        if self.state is HandshakeState.WAITING:
            return self._ask_hello(now_s)
        if self.state is not HandshakeState.CONFIGURING:
            return b""
        if self._asking is None:
            return self._ask_channels(now_s)
        line = self._asking.poll(now_s)
        if self._asking.state is CommandState.SILENT:
            self._fail(self._asking.problem)
        return line

    def receive(self, message: Message, now_s: float) -> None:
        """Take a message that is not a sample."""
        if self.state.is_final:
            return
        if isinstance(message, Hello):
            self._meet(message, now_s)
        elif isinstance(message, Channel):
            self.channels[message.channel] = message
            waited_for = self.state is HandshakeState.CONFIGURING and self._asking is None
            if waited_for and not self.missing_channels:
                self._ask(("start",))
        elif self._asking is not None:
            self._asking.receive(message)
            if self._asking.state is CommandState.REFUSED:
                self._fail(self._asking.problem)
            elif self._asking.state is CommandState.DONE and self._asking.answer is not None:
                self._finish(self._asking.verb, self._asking.answer, now_s)

    @property
    def missing_channels(self) -> int:
        """How many channels the hello promised that have not been described."""
        promised = self.hello.channels if self.hello is not None else 0
        return max(0, promised - len(self.channels))

    def _ask_hello(self, now_s: float) -> bytes:
        if self._began_s is None:
            self._began_s = self._hello_due_s = now_s
        if now_s - self._began_s >= HELLO_WAIT_S - _EARLY_S:
            self._fail(
                f"No hello from the board within {HELLO_WAIT_S:g} s, expected one frame of it: check that "
                "this is the right port and baud rate, and that the board has power."
            )
            return b""
        return self._hello_if_due(now_s)

    def _hello_if_due(self, now_s: float) -> bytes:
        if now_s < self._hello_due_s - _EARLY_S:
            return b""
        self._hello_due_s = now_s + REPEAT_S
        return format_command("hello")

    def _meet(self, hello: Hello, now_s: float) -> None:
        if hello.version > WIRE_VERSION:
            self._fail(
                f"The board speaks version {hello.version} of the wire, this program knows version "
                f"{WIRE_VERSION}: install a newer fullturn, or older firmware on the board."
            )
            return
        restarted = self.hello is None or hello.boot_id != self.hello.boot_id
        self.hello = hello
        if restarted:
            self.state = HandshakeState.CONFIGURING
            self.channels.clear()
            self.answers.clear()
            self._hellos_for_channels = 0
            self._left = list(self._before)
            self._next(now_s)

    def _next(self, now_s: float) -> None:
        """Go on to the next command: ``start`` is the last, and waits until all channels are known."""
        if self._left:
            self._ask(self._left.pop(0))
        elif self.missing_channels:
            self._asking = None
            self._hello_due_s = now_s
        else:
            self._ask(("start",))

    def _ask(self, command: Sequence[str | int]) -> None:
        verb, *args = command
        self._asking = Repeater(str(verb), *args, token=self._token)
        self._token = self._token % MAX_TOKEN + 1

    def _ask_channels(self, now_s: float) -> bytes:
        line = self._hello_if_due(now_s)
        if line and self._hellos_for_channels == TRIES and self.hello is not None:
            self._fail(
                f"The board described {len(self.channels)} of the {self.hello.channels} channels its hello "
                "promises, expected a channel frame for each: correct its firmware, or check the cable."
            )
            return b""
        self._hellos_for_channels += bool(line)
        return line

    def _finish(self, verb: str, answer: Answer, now_s: float) -> None:
        self.answers[verb] = answer.words
        if verb == "start":
            self.state = HandshakeState.READY
            self._asking = None
        else:
            self._next(now_s)

    def _fail(self, problem: str) -> None:
        self.state = HandshakeState.FAILED
        self.problem = problem
        self._asking = None

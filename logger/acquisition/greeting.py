"""Brings the board to streaming, as often as it restarts or is plugged in again, and takes leave of it."""

import logging
from collections.abc import Callable

from analysis.capture import LinkCounts
from analysis.errors import LinkError
from logger.stream import HostTime, Source
from logger.wire.handshake import Handshake, HandshakeState
from logger.wire.messages import Message

log = logging.getLogger("fullturn.worker")
NS = 1e-9
TOKENS_APART = 100
"""Each handshake has its own tokens, so that late answers to the one before are not taken for its own."""


class Greeting:
    """The handshakes with the board at one source; without ``make`` what hangs there is only listened to."""

    def __init__(self, source: Source, make: Callable[[int], Handshake] | None, *, patient: bool) -> None:
        """``patient`` greets again where nobody answered."""
        self._source, self.make, self._patient = source, make, patient
        self._made = 0
        self._handshake: Handshake | None = None
        self.begin()

    @property
    def listens_only(self) -> bool:
        """Tell whether there is nobody to greet."""
        return self._handshake is None

    @property
    def ready(self) -> bool:
        """Tell whether the board streams, or is only listened to."""
        return self._handshake is None or self._handshake.state is HandshakeState.READY

    def begin(self) -> None:
        """Greet anew: a board that restarted or was plugged in again has to be brought to streaming."""
        if self.make is None:
            return
        self._made += 1
        log.info("opening %d of %s", self._made, self._source.name)
        self._handshake = self.make(1 + TOKENS_APART * (self._made - 1))

    def poll(self, now: HostTime, link: Callable[[], LinkCounts]) -> str:
        """Send what is due; return why there is no board, where that has just turned out, else nothing.

        Raises LinkError for that instead where it is not patient. ``link`` counts what came instead.
        """
        if self._handshake is None:
            return ""
        line = self._handshake.poll(now.monotonic_ns * NS)
        if line:
            self._source.write(line)
        if self._handshake.state is not HandshakeState.FAILED:
            return ""
        why = self._why_not(self._handshake, link())
        if not self._patient:
            raise LinkError(why)
        self.begin()
        return why

    def receive(self, message: Message, host: HostTime) -> None:
        """Take what the board said."""
        if self._handshake is not None:
            self._handshake.receive(message, host.monotonic_ns * NS)

    def farewell(self) -> None:
        """Ask the board to be quiet, and let go of the port; a board that is gone needs no asking."""
        try:
            if self._handshake is not None and self._handshake.state is HandshakeState.READY:
                self._source.write(b"stop\n")
        except LinkError:
            pass
        finally:
            self._source.close()

    def _why_not(self, handshake: Handshake, link: LinkCounts) -> str:
        """Say why the board could not be brought to streaming, and what came instead of a hello."""
        if handshake.hello is None and link.frames == 0 and link.bad:
            return (
                f"{self._source.name} talks, but not this wire: {link.bad} pieces of what came are "
                f"no frames, expected "
                "a hello within 3 s; check baud rate and port, or whether another kind of device hangs there"
            )
        return f"{self._source.name}: {handshake.problem}"

"""What asks a running command to end: Ctrl-C, the end of its service, a closed terminal. All end it alike."""

import os
import signal
import threading
from collections.abc import Callable
from contextlib import suppress
from types import FrameType, TracebackType
from typing import Any

ENDINGS = ("SIGINT", "SIGTERM", "SIGHUP")
CLOSING = b"closing: what was recorded is being kept\n"


class EndSignals:
    """While entered, the first of these signals asks for the end; the next one says that it comes.

    After that they are ignored by the system itself: handlers of a flood of them would call one another
    without bound. One that is ignored when the program starts, as in a shell's background, stays ignored.
    """

    def __init__(self) -> None:
        self.asked = False
        """Whether somebody has asked for the end."""
        self._said = False
        self._ask: list[Callable[[], None]] = []
        self._before: dict[int, Any] = {}

    def when_asked(self, ask: Callable[[], None]) -> None:
        """Have this called when the end is asked for; at once where it was already."""
        self._ask.append(ask)
        if self.asked:
            ask()

    def forget(self, ask: Callable[[], None]) -> None:
        """Have this called no more: what it would end is over."""
        self._ask.remove(ask)

    def __enter__(self) -> "EndSignals":
        if threading.current_thread() is threading.main_thread():
            for number in _heeded():
                self._before[number] = signal.signal(number, self._take)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, traceback: TracebackType | None
    ) -> None:
        for number, handler in self._before.items():
            # Once the end is asked for, nothing shall cut short what is left of it.
            signal.signal(number, signal.SIG_IGN if self.asked else handler)

    def _take(self, number: int, frame: FrameType | None) -> None:
        if not self.asked:
            self.asked = True
            for ask in self._ask:
                ask()
        elif not self._said:
            self._said = True
            for each in self._before:
                signal.signal(each, signal.SIG_IGN)
            with suppress(OSError):
                os.write(2, CLOSING)  # past Python's buffer, in which this may be an interruption


def ignore_end_signals() -> None:
    """Let none of them change the status of a program that has its result and is about to end."""
    for number in _heeded():
        signal.signal(number, signal.SIG_IGN)


def _heeded() -> list[int]:
    """Return those that this system has and that are not ignored already."""
    known = [getattr(signal, name) for name in ENDINGS if hasattr(signal, name)]
    return [number for number in known if signal.getsignal(number) is not signal.SIG_IGN]

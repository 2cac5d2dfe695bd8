"""The live sessions of a batch: one for each part, with a recording of its own, and what is heard in between.

A port stays open from one to the next. A practice bench begins anew with each part, and in between it stands.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from logger.acquisition import KeptOpen, OpenedSource
from logger.live.opening import begin_listening, begin_live, open_live
from logger.live.state.ended_sessions import EndedSessions
from logger.live.state.runtime import LiveRuntime
from logger.settings import Settings

Setup = Mapping[str, str]
NOT_THE_NEXT = ("serial", "looks_before", "mounting")
"""What a set-up says of one part alone."""


def _halt(runtime: LiveRuntime) -> None:
    runtime.worker.stop()
    if runtime.started:
        runtime.worker.join()


@dataclass
class PartSessions:
    """Opens the session of each part, and closes those that are over beside the painting."""

    open_part: Callable[[Setup, int], LiveRuntime]
    """Opens a session that records under this set-up; the number is new for each."""
    open_between: Callable[[Setup], LiveRuntime] | None = None
    """Opens one that records nothing; None where nothing is heard between two parts."""
    let_go: Callable[[], None] = lambda: None
    """Closes what stayed open, at the very end."""
    begin: Callable[[LiveRuntime], None] = LiveRuntime.start
    """Lets a new session read."""
    halt: Callable[[LiveRuntime], None] = _halt
    """Has a session read no more, and waits for it."""
    ended: EndedSessions = field(default_factory=EndedSessions)
    """Sessions of parts that are over."""

    def part(self, old: LiveRuntime, setup: Setup, kth: int) -> LiveRuntime:
        """Return the session of a part, which reads already; ``setup`` goes on top of that of the batch.

        Raises FullturnError, changing nothing.
        """
        new = self.open_part({**self._setup(old), **setup}, kth)
        return self._instead(old, new)

    def between(self, old: LiveRuntime) -> LiveRuntime:
        """Return the session after a part: another one at a port; the same, which ends, at a bench."""
        if self.open_between is None:
            old.worker.stop()
            return old
        return self._instead(old, self.open_between(self._setup(old)))

    def _setup(self, old: LiveRuntime) -> dict[str, str]:
        return {key: value for key, value in old.session.setup.text.items() if key not in NOT_THE_NEXT}

    def _instead(self, old: LiveRuntime, new: LiveRuntime) -> LiveRuntime:
        self.halt(old)
        self.ended.add(old)
        self.begin(new)
        return new


def part_sessions_of(
    opened: OpenedSource | None, settings: Settings, version: str, clock: Callable[[], float]
) -> PartSessions | None:
    """Return the sessions of a batch at a source that was opened; None where it is a recording."""
    if opened is None:
        return None
    request, source = opened.request, opened.source
    if request.practice:

        def on_bench(setup: Setup, kth: int) -> LiveRuntime:
            each = replace(request, serial=setup["serial"], kth=kth)
            return open_live(each, settings, version, setup, clock=clock).runtime

        return PartSessions(on_bench)

    def at_port(setup: Setup, kth: int) -> LiveRuntime:
        del kth
        return begin_live(opened, settings, version, setup, clock=clock).runtime

    def between(setup: Setup) -> LiveRuntime:
        return begin_listening(opened, settings, setup, clock=clock)

    return PartSessions(at_port, between, source.let_go if isinstance(source, KeptOpen) else source.close)

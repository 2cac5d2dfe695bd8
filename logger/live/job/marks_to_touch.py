"""Which marks a step of a job asks for: those that a remount, another axis or a restart has made void."""

from collections.abc import Callable

from analysis.capture.events import BoardRestarted, Event, MarkTouched
from analysis.setup import MARK_KEYS, MarkKind, MarkSide
from logger.job import PUSH_PULL, Step
from logger.live.state.runtime import LiveRuntime


class MarksToTouch:
    """The marks of one walk."""

    def __init__(self, runtime: Callable[[], LiveRuntime]) -> None:
        self._runtime = runtime
        self._before: dict[str, str] = {}
        """What the set-up said of the marks before a step asked for them."""
        self._arbor_boot: int | None = None
        """Boot of the board in which the arbor's mark was touched on this lathe."""

    def begin(self, step: Step) -> list[str]:
        """Let the set-up be that of a step; return the marks to be touched, the next one first.

        With an encoder marks tell the index angle. Raises BadInput, changing nothing.
        """
        runtime = self._runtime()
        text = runtime.session.setup.text
        before = {key: text.get(key, "") for key in MARK_KEYS}
        changes = {"stage": step.stage.value, "mark_on": step.mark_on.value}
        if not step.lathe or runtime.session.angle_source != "index":
            changes["index_angle"] = ""
        runtime.change_setup(changes)
        self._before = before
        return self._asked(step)

    def _asked(self, step: Step) -> list[str]:
        session = self._runtime().session
        if step.takes == PUSH_PULL or session.angle_source == "index":
            return []
        if not step.lathe:
            self._arbor_boot = None
            return [] if session.setup.mark == MarkKind.INDEX else ["part"]
        if step.mark_on == MarkSide.ARBOR:
            return ["arbor"]
        if self._arbor_boot != session.boots:
            return ["part", "arbor"]
        loosened = step.key != "after-cut" or not self._runtime().marked
        return ["part"] if loosened else []

    def after_break(self, step: Step) -> list[str]:
        """Return the marks to be touched after the sweep broke or the board restarted."""
        if step.mark_on == MarkSide.ARBOR:
            return ["arbor"]
        return ["part", "arbor"] if step.lathe else ["part"]

    def noticed(self, event: Event) -> None:
        """An event has come back."""
        if isinstance(event, BoardRestarted):
            self._arbor_boot = None
        elif isinstance(event, MarkTouched) and event.on is MarkSide.ARBOR:
            self._arbor_boot = self._runtime().session.boots

    def leave(self) -> None:
        """Go on with the marks as they are: count 0 after a reset, the index angle as the set-up says.

        Raises BadInput.
        """
        runtime = self._runtime()
        runtime.change_setup(self._before)
        if runtime.session.zero_count is None:
            # After a restart nothing has an angle: that count 0 is the mark has to be noted by somebody.
            runtime.record(MarkTouched(MarkSide(self._before["mark_on"] or MarkSide.PART), 0))
        runtime.say("the marks stand as they are")

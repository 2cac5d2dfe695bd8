"""One session at a board: bytes, events and set-ups in, what the link gave and what is known out.

``take(item)`` is the only way in, for screen, commands and tests. A session has no port, thread, clock or
screen, and holds no arithmetic beyond counting: turns and fits are made by ``analysis`` from what
``capture()`` returns.
"""

import logging
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import assert_never

import numpy as np
from numpy.typing import NDArray

from analysis.angle import FEW_COUNTS, Stop
from analysis.capture import AngleSource, Capture, Samples
from analysis.capture.events import CountZeroed, Event, LinkLost, MarkTouched, MarkUndone, NotDecoded
from analysis.errors import FullturnError
from analysis.setup import Setup, parse_setup
from logger.decoding import FrameLink, LineLink, LinkOutput, rig_of_setup
from logger.session.angles_by_stops import stop_now
from logger.session.sample_blocks import SampleBlocks
from logger.session.session_state import SessionState
from logger.session.sweep_angles import build_capture, capture_of_newest
from logger.session.sweep_links import Link, Links
from logger.stream import HostTime, Item, LinkBytes, RecordedEvent, SetupChange

Ints = NDArray[np.int64]
GAUGE_LINK, ANGLE_LINK = 0, 1
log = logging.getLogger("fullturn.worker")


class Session(SessionState):
    """The state of one session at one gauge, and the only way into it.

    ``live``: decode every piece at once and turn button presses into marks; otherwise (a recording) bytes are
    gathered and decoded in bulk, and marks come as the events that were written when they were made.
    """

    def __init__(self, setup: Mapping[str, str] | None = None, *, live: bool = True) -> None:
        self._live = live
        self._override = dict(setup or {})
        given = parse_setup(self._override)
        super().__init__(_make_links(given, live=live), given)

    # --- in -------------------------------------------------------------------------------------------

    def take(self, item: Item) -> list[LinkOutput]:
        """Take one item of a source, whatever it is, and return what the link gave besides samples."""
        match item:
            case LinkBytes():
                return self.feed(item.host, item.data, item.link)
            case RecordedEvent():
                self.take_event(item.event)
            case SetupChange():
                self.change_setup(item.setup)
            case _:
                assert_never(item)
        return []

    def feed(self, host: HostTime, data: bytes, link: int = GAUGE_LINK) -> list[LinkOutput]:
        """Take the next bytes of a link and return what it gave besides samples.

        Raises BadInput for a board that speaks a newer version of the wire. Bad bytes never raise: they are
        counted; where they lead the decoder itself astray, that link is decoded no further and says so.
        """
        outputs = self._decoded(self._link(link), data, lambda: self._link(link).feed(host, data))
        if self._live:  # a recording holds the events that came of its bytes
            for output in outputs:
                if isinstance(output, MarkTouched):
                    # From here on, where its event is going to stand in the recording.
                    self._links.counting.boots[-1].touch_mark(output.on, output.count)
                if isinstance(output, Event):
                    self._note(output)
        return outputs

    def flush(self) -> None:
        """Decode what has been gathered; a session over a recording needs it at the end."""
        for link in (self._links.gauge, self._links.angle):
            if link is not None:
                self._decoded(link, b"", link.flush)

    def skip(self, item: Item) -> None:
        """Count the bytes of an item that came and is not to be decoded."""
        if isinstance(item, LinkBytes):
            self._link(item.link).statistics.not_decoded += len(item.data)

    def take_event(self, event: Event) -> None:
        """Take an event: a mark, push, pull, a stop, a gap in the link, a window left out."""
        self.flush()
        counting = self._links.counting
        boot = counting.boots[-1]
        match event:
            case MarkTouched(on, count):
                boot.touch_mark(on, boot.unwrap_count(count))
            case MarkUndone(on):
                boot.undo_marks(on)
            case LinkLost():
                self._link(event.link).unplugged()
            case CountZeroed():
                counting.break_angle("the count was set to zero in the middle of the sweep")
        self._note(event)

    def change_setup(self, text: Mapping[str, str]) -> None:
        """Replace the set-up from here on; what was given to the session itself stays on top."""
        self.flush()  # what came before it was decoded under the set-up of its own time
        plain = {key: value for key, value in text.items() if key != "crc32"}
        self._setup = parse_setup(self._override, kept=plain)
        if not self.has_samples and self.hello is None:
            self._links = _make_links(self._setup, live=self._live)
        self._links = Links(self._links.gauge, self._links.angle, self._setup)
        for link in (self._links.gauge, self._links.angle):
            if link is not None:
                link.setup = self._setup

    # --- out ------------------------------------------------------------------------------------------

    def newest(self, start: int = 0) -> Capture:
        """Return the newest boot from its sample ``start`` on: there turns may have ended just now.

        Where the angle is no count, everything so far is returned: such sweeps are short.
        """
        if not self.tells_counts:
            return self.capture()
        return capture_of_newest(self._links, start)

    @property
    def tells_counts(self) -> bool:
        """Whether the angle of a reading is the count that came with it, known at once."""
        links = self._links
        counted = links.source is AngleSource.ENCODER and links.angle is None
        return counted and links.counts_per_turn >= FEW_COUNTS

    def stop_now(self) -> Stop:
        """Return the reading of the second that has just passed; raises BadInput where too few have come."""
        return stop_now(self._links)

    def take_samples(self, blocks: SampleBlocks) -> Iterator[Samples]:
        """Yield the samples that have come since, as far as their angles are known, and forget them.

        Raises NeedsWholeSweep where the angle cannot be told so.
        """
        return blocks.take(self._links)

    def forget(self, upto: int) -> None:
        """Forget the samples of the newest boot before number ``upto``, and all of older boots.

        Who has not taken them by now can ask for the whole sweep no more.
        """
        *older, newest = self._links.gauge.boots
        for boot in older:
            boot.forget(len(boot) - 1)
        newest.forget(upto)

    def take_last_samples(self, blocks: SampleBlocks) -> Iterator[Samples]:
        """Yield the last of them, the session being over. Raises NeedsWholeSweep."""
        self.flush()
        return blocks.finish(self._links)

    def capture_taken(self, blocks: SampleBlocks, samples: Samples) -> Capture:
        """Return the sweep whose samples were taken out; ``samples`` stand for them."""
        return build_capture(self._links, self.timed_events(), taken=(samples, blocks.zeroed()))

    def capture(self, *, last: bool = False) -> Capture:
        """Return all samples of the chosen channel as one sweep.

        ``last``: the session is over and is not asked again; its memory is given up as the sweep is made.
        Raises BadInput where the board never said how its values scale, the channel does not exist or is
        no length, or where nothing tells the angle.
        """
        self.flush()
        return build_capture(self._links, self.timed_events(), last=last)

    # --- inside ---------------------------------------------------------------------------------------

    def _decoded(self, link: Link, data: bytes, decode: Callable[[], list[LinkOutput]]) -> list[LinkOutput]:
        account = link.statistics
        if account.given_up:
            account.not_decoded += len(data)
            return []
        size = len(data) + link.waiting_bytes
        try:
            return decode()
        except FullturnError:
            raise
        except Exception as fault:
            # A mistake of ours, of whatever kind: the bytes are recorded, and what came before stays true.
            log.exception("decoding is given up")
            account.given_up = f"the decoder broke off ({type(fault).__name__}: {fault})"
            account.not_decoded += size
            for boot in link.boots:
                boot.even_out()
            return [NotDecoded(account.given_up, ANGLE_LINK if link is self._links.angle else GAUGE_LINK)]

    def _link(self, link: int) -> Link:
        return self._links.angle if link == ANGLE_LINK and self._links.angle else self._links.gauge

    def _note(self, event: Event) -> None:
        boots = self._links.gauge.boots
        boots[-1].ask_for_time(len(boots[-1]))
        self._events.append((event, len(boots) - 1, len(boots[-1])))


def _make_links(setup: Setup, *, live: bool) -> Links:
    rig = rig_of_setup(setup.text)
    if rig is None:
        return Links(FrameLink(setup, live=live), None, setup)
    gauge = LineLink(setup, rig, host_clock=rig.second is not None)
    angle = LineLink(setup, rig.second, host_clock=True) if rig.second else None
    return Links(gauge, angle, setup)


def replay(items: Iterable[Item], setup: Mapping[str, str] | None = None) -> Session:
    """Return the session that all these items make, decoded in bulk."""
    session = Session(setup, live=False)
    for item in items:
        session.take(item)
    session.flush()
    return session

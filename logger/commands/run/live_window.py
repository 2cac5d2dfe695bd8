"""The window over a live session, and what is said when it has been closed."""

import codecs
import os
import sys
import time
from itertools import chain
from pathlib import Path

import click

from analysis.errors import BadInput
from logger import batch, screen
from logger.commands.declaring import command_that_goes_on
from logger.commands.end_signals import EndSignals
from logger.commands.exit_status import with_recording_path
from logger.live.batch.part_sessions import part_sessions_of
from logger.live.console import Console
from logger.live.controllers.window_intents import OpenPage
from logger.live.drawing.display_options import DisplayOptions
from logger.live.job.practice_story import story_of
from logger.live.opening import LiveSession, library_of
from logger.program_version import PROGRAM_VERSION
from logger.reports.phrases import printable
from logger.settings import Settings


def draws_braille() -> bool:
    """Tell whether the terminal is written in an encoding with braille, and has the glyphs."""
    encoding = codecs.lookup(getattr(sys.__stderr__, "encoding", None) or "ascii").name
    return encoding.startswith("utf") and os.environ.get("TERM") != "linux"


def need_terminal() -> None:
    """Refuse to draw where there are no keys to end it with, before anything is opened or recorded."""
    served = "TEXTUAL_DRIVER" in os.environ
    if not served and not (sys.stdin.isatty() and sys.stderr.isatty()):
        raise BadInput(
            "the screen needs a terminal for its keys and its picture; without one: fullturn record PORT"
        )


def show(
    live_session: LiveSession,
    settings: Settings,
    *,
    ascii_only: bool,
    light: bool,
    planned: tuple[str, ...] = (),
    plan: "batch.BatchPlan | None" = None,
) -> int:
    """Show a session until it is closed, then close what was recorded and say where it lies.

    ``planned``: serials of a batch, whose page is opened then; ``plan``: what is asked between them.
    """
    need_terminal()
    options = DisplayOptions(settings.units.value, ascii_only=ascii_only or not draws_braille(), light=light)
    console = Console(
        live_session.runtime,
        options,
        library=lambda: library_of(settings),
        replay=live_session.replay,
        story=story_of(live_session.runtime, settings, PROGRAM_VERSION, time.monotonic),
        parts=part_sessions_of(live_session.opened, settings, PROGRAM_VERSION, time.monotonic),
        planned=planned,
        plan=plan,
        store=settings.store.value,
    )
    if planned:
        console.send(OpenPage("batch"))
    # By its room, which loads the library of the window only here: the source is open already.
    window = screen.Window(console, live_session)
    # Where a shell exports its size, the terminal itself would never be asked again: no resize would be seen.
    for name in ("COLUMNS", "LINES"):
        os.environ.pop(name, None)
    with EndSignals() as signals:
        signals.when_asked(window.end)
        try:
            window.run()
        finally:
            window.finish()
            console.guide.close_old()
            console.runtime.finish()
            console.batch.close()
    if window.return_code:
        raise RuntimeError("the window ended with a fault")
    state = console.runtime.state
    path = state.named or state.recording
    if state.error is not None:
        if path is None:
            raise state.error
        raise with_recording_path(state.error, path) from state.error
    others = [one.ended.not_stored for one in (console.guide.story, console.batch.sessions) if one]
    for words in (*chain.from_iterable(others), console.runtime.not_stored):
        if words:
            click.echo(printable(words), err=True)
    standing = console.batch.batch
    if standing is not None and (standing.sweeps or standing.skipped):
        click.echo(batch.as_text(standing, command_that_goes_on()))
    return _farewell(path, state.named is not None)


def _farewell(path: Path | None, named: bool) -> int:
    if path is not None and os.path.exists(path):
        kept = "" if named else " (R names it while it runs)"
        click.echo(f"recorded to {path}{kept}", err=True)
    return 0

"""``fullturn watch``: the live screen on a port, a practice bench or a recording; also ``fullturn`` alone."""

import os
import sys
import time
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from analysis.errors import BadInput, LinkError
from logger.commands.exit_status import with_recording_path
from logger.commands.options import SETUP, SetupOptions, with_options
from logger.settings import Settings, load_settings

if TYPE_CHECKING:
    from logger.acquisition import SourceRequest
    from logger.live.opening import LiveSession


@click.command()
@click.argument("name", required=False, metavar="[PORT|FILE|practice:NAME]")
@click.option("--follow", is_flag=True, help="Follow a recording that another window is writing; view-only.")
@click.option("--ascii", "ascii_only", is_flag=True, help="Where braille glyphs are missing.")
@click.option("--light", is_flag=True, help="Dark letters on white.")
@click.option("--baud", type=int, help="Speed of the port (default 500000, or the rig's).")
@click.option("--rig", "rig_file", metavar="FILE", help="Rig file of a gauge that prints lines.")
@click.option("--second", metavar="PORT", help="Port of the encoder, where the rig has a second one.")
@click.option("--rate", type=click.IntRange(1, 65_535), help="Readings a second to ask the board for.")
@click.option("--seed", type=int, default=1, help="Seed of a practice:NAME (default 1).")
@click.option("--fault", metavar="NAME", help="Fault of a practice:NAME.")
@click.option("--units", type=click.Choice(["mm", "um", "in", "thou"]), help="Unit of shown lengths.")
@click.option("--store", metavar="URL", help="Store: an SQLAlchemy URL or a path ending in .db.")
@with_options(SETUP)
def command(
    name: str | None,
    follow: bool,
    ascii_only: bool,
    light: bool,
    baud: int | None,
    rig_file: str | None,
    second: str | None,
    rate: int | None,
    seed: int,
    fault: str | None,
    units: str | None,
    store: str | None,
    setup_options: SetupOptions,
) -> int:
    """Show reading, TIR, high spot and strip while the part turns; record every byte from the first.

    Without a name: the one known board that answers. A recording is replayed, or followed with --follow.
    Caution: call out before turning; turn by hand or at creep speed with the drive locked out.
    """
    in_force = load_settings(store=store, units=units)
    override = setup_options.text()
    from logger.settings import check  # noqa: PLC0415

    check(override, date.today())
    from logger.acquisition import SourceRequest, check_request  # noqa: PLC0415
    from logger.decoding import read_rig  # noqa: PLC0415

    rig = read_rig(rig_file) if rig_file else None
    request = SourceRequest(name or "", baud, rate or 0, rig, second, seed, fault, patient=True, watched=True)
    check_request(request, recording=follow or is_recording(request.name))
    chosen = name or _choose(in_force, follow)
    if chosen is None:
        return LinkError.exit_status
    live_session = _open(replace(request, name=chosen), override, in_force, follow)
    return run(live_session, in_force, ascii_only=ascii_only, light=light)


def _choose(settings: Settings, follow: bool) -> str | None:
    """Return the one known board that is there, or one picked by number; None where there is none."""
    if follow:
        from logger.acquisition import newest_recording  # noqa: PLC0415

        found = newest_recording(settings.data_folder)
        if found is None:
            raise BadInput(f"nothing to follow: no recording in {settings.data_folder}; name one")
        return str(found)
    from logger.sources import (  # noqa: PLC0415
        KnownBoards,
        ports,
    )

    there = ports(KnownBoards(settings.config_folder))
    known = [port for port in there if port.known]
    if len(known) == 1:
        return known[0].path
    if not known:
        click.echo(
            "No board that was used before is there: plug it in, or look whether its cable carries data.\n"
            "A new one is named once: fullturn watch PORT (fullturn ports lists them without opening any)\n"
            "Without a board: fullturn watch practice:wind-pump/as-found",
            err=True,
        )
        return None
    click.echo("Several boards were used before:", err=True)
    for number, port in enumerate(known, 1):
        click.echo(f"  {number}  {port.path}  {port.maker} {port.product}".rstrip(), err=True)
    if not sys.stdin.isatty():
        raise BadInput("which one? name it: fullturn watch PORT")
    answer = click.prompt("Number", type=click.IntRange(1, len(known)), err=True)
    return known[answer - 1].path


def _open(
    request: "SourceRequest", override: dict[str, str], settings: Settings, follow: bool
) -> "LiveSession":
    from logger.commands.run.version import program_version  # noqa: PLC0415
    from logger.live.opening import open_live, open_recording  # noqa: PLC0415

    if not is_recording(request.name) and not follow:
        _need_terminal()
    if request.practice and follow:
        raise BadInput("--follow is for a recording that another window is writing")
    if not request.practice and is_recording(request.name):
        return open_recording(Path(request.name), settings, override, follow=follow, clock=time.monotonic)
    if follow:
        raise BadInput(
            f"{request.name} is no recording: --follow needs the file that the other window writes"
        )
    return open_live(request, settings, program_version(), override, clock=time.monotonic)


def is_recording(name: str) -> bool:
    """Tell a recording from a port by the file itself: a device is no ordinary file."""
    return Path(name).is_file() or name.endswith(".mcap")


def _need_terminal() -> None:
    """Refuse to draw where there are no keys to end it with, before anything is opened or recorded."""
    served = "TEXTUAL_DRIVER" in os.environ
    if not served and not (sys.stdin.isatty() and sys.stderr.isatty()):
        raise BadInput(
            "the screen needs a terminal for its keys and its picture; without one: fullturn record PORT"
        )


def run(live_session: "LiveSession", settings: Settings, *, ascii_only: bool, light: bool) -> int:
    """Show a session until it is closed, then close what was recorded and say where it lies."""
    from logger.commands.run.version import program_version  # noqa: PLC0415
    from logger.live.console import Console  # noqa: PLC0415
    from logger.live.drawing.display_options import DisplayOptions  # noqa: PLC0415
    from logger.live.job.practice_story import story_of  # noqa: PLC0415
    from logger.live.opening import library_of  # noqa: PLC0415
    from logger.screen import Window  # noqa: PLC0415

    _need_terminal()
    options = DisplayOptions(settings.units.value, ascii_only=ascii_only, light=light)
    console = Console(
        live_session.runtime,
        options,
        library=lambda: library_of(settings),
        replay=live_session.replay,
        story=story_of(live_session.runtime, settings, program_version(), time.monotonic),
    )
    window = Window(console, live_session)
    # Where a shell exports its size, the terminal itself would never be asked again: no resize would be seen.
    for name in ("COLUMNS", "LINES"):
        os.environ.pop(name, None)
    try:
        window.run()
    finally:
        window.finish()
        console.guide.close_old()
        console.runtime.finish()
    if window.return_code:
        raise RuntimeError("the window ended with a fault")
    state = console.runtime.state
    path = state.named or state.recording
    if state.error is not None:
        if path is None:
            raise state.error
        raise with_recording_path(state.error, path) from state.error
    return _farewell(path, state.named is not None)


def _farewell(path: Path | None, named: bool) -> int:
    if path is not None and os.path.exists(path):
        kept = "" if named else " (kept for 14 days; R names it)"
        click.echo(f"recorded to {path}{kept}", err=True)
    return 0

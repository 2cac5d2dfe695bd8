"""``fullturn watch``: the live screen on a port, a practice bench or a recording; also ``fullturn`` alone."""

import os
import sys
import time
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from analysis.errors import BadInput, LinkError
from logger.commands.exit_status import with_recording_path
from logger.commands.options import SETUP, SetupOptions, with_options
from logger.settings import Settings, load_settings

if TYPE_CHECKING:
    from logger.decoding import Rig
    from logger.live.opening import LiveSession

BAUD = 500_000


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
    if fault is not None and not (name or "").startswith("practice:"):
        raise BadInput("--fault is for practice:NAME; a port has its own")
    from logger.decoding import read_rig  # noqa: PLC0415

    rig = read_rig(rig_file) if rig_file else None
    _check_rig(name, rig, second, follow)
    chosen = name or _choose(in_force, follow)
    if chosen is None:
        return LinkError.exit_status
    what = _Asked(
        chosen,
        override,
        follow,
        baud or (rig.port.baud if rig else BAUD),
        rate or 0,
        seed,
        fault,
        rig,
        second,
    )
    live_session = _open(what, in_force)
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


@dataclass(frozen=True)
class _Asked:
    """What the command line asks for."""

    name: str
    override: dict[str, str]
    follow: bool
    baud: int
    rate_hz: int
    seed: int
    fault: str | None
    rig: "Rig | None"
    second: str | None


def _check_rig(name: str | None, rig: "Rig | None", second: str | None, follow: bool) -> None:
    """Refuse what does not go with a rig, before anything is opened."""
    if name == "-":
        raise BadInput("- is the keyboard here: watch needs it for its keys; give a port, or use record -")
    if second is not None and (rig is None or rig.second is None):
        raise BadInput("--second names the encoder's port of a rig: describe it in [second.line], with --rig")
    if rig is None:
        return
    if rig.second is not None and second is None:
        raise BadInput("the rig has a second port: name it with --second")
    if name is None or follow or name.startswith("practice:") or is_recording(name):
        raise BadInput("--rig says what a port prints: name the port; a recording or the bench knows its own")


def _open(asked: _Asked, settings: Settings) -> "LiveSession":
    from logger.commands.run.version import program_version  # noqa: PLC0415
    from logger.live import opening as sittings  # noqa: PLC0415

    clock, version, name = time.monotonic, program_version(), asked.name
    if not is_recording(name) and not asked.follow:
        _need_terminal()
    if name.startswith(sittings.PRACTICE):
        if asked.follow:
            raise BadInput("--follow is for a recording that another window is writing")
        return sittings.open_practice(
            name, settings, version, asked.override, seed=asked.seed, fault=asked.fault, clock=clock
        )
    if is_recording(name):
        return sittings.open_recording(Path(name), settings, asked.override, follow=asked.follow, clock=clock)
    if asked.follow:
        raise BadInput(f"{name} is no recording: --follow needs the file that the other window writes")
    return sittings.open_port(
        name,
        settings,
        version,
        asked.override,
        baud=asked.baud,
        rate_hz=asked.rate_hz,
        rig=asked.rig,
        second=asked.second,
        clock=clock,
    )


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

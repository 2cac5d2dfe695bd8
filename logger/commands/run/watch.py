"""What a person watches: chosen, opened and shown until the window is closed."""

import time
from dataclasses import replace
from pathlib import Path

from analysis.errors import BadInput, LinkError
from logger import batch
from logger.acquisition import SourceRequest, check_request
from logger.commands.options import SetupOptions, SourceOptions, with_job
from logger.commands.run.known_board import choose_source
from logger.commands.run.live_window import need_terminal, show
from logger.live.opening import LiveSession, open_live, open_recording
from logger.program_version import PROGRAM_VERSION
from logger.settings import Settings, check_setup, load_settings


def run(
    name: str | None,
    follow: bool,
    ascii_only: bool,
    light: bool,
    units: str | None,
    store: str | None,
    serials: str | None,
    job: str | None,
    check_every: int | None,
    check_part: str | None,
    twice_every: int | None,
    source_options: SourceOptions,
    setup_options: SetupOptions,
) -> int:
    """Show the live screen; nothing is opened before all that was asked for goes together."""
    settings = load_settings(store=store, units=units)
    override = setup_options.text() if job is None else with_job(setup_options.text(), job)
    planned = batch.expand_serials(serials) if serials is not None else ()
    plan = batch.batch_plan(check_every, check_part, twice_every)
    if plan != batch.BatchPlan() and not planned:
        raise BadInput("--check-every and --twice-every are of a batch: add --serials, or leave them out")
    if planned and not override.get("job"):
        raise BadInput("--serials needs the job that the parts are of: add --job NUMBER")
    check_setup(override)
    request = source_options.request(name or "", watched=True)
    if planned and (follow or is_recording(request.name)):
        raise BadInput("--serials is for a board or the practice bench: a recording is of one part")
    check_request(request, recording=follow or is_recording(request.name))
    chosen = name or choose_source(settings, follow)
    if chosen is None:
        return LinkError.exit_status
    live_session = _open(replace(request, name=chosen), override, settings, follow)
    return show(live_session, settings, ascii_only=ascii_only, light=light, planned=planned, plan=plan)


def _open(request: SourceRequest, override: dict[str, str], settings: Settings, follow: bool) -> LiveSession:
    if not is_recording(request.name) and not follow:
        need_terminal()
    if request.practice and follow:
        raise BadInput("--follow is for a recording that another window is writing")
    if not request.practice and is_recording(request.name):
        return open_recording(Path(request.name), settings, override, follow=follow, clock=time.monotonic)
    if follow:
        raise BadInput(
            f"{request.name} is no recording: --follow needs the file that the other window writes"
        )
    return open_live(request, settings, PROGRAM_VERSION, override, clock=time.monotonic)


def is_recording(name: str) -> bool:
    """Tell a recording from a port by the file itself: a device is no ordinary file."""
    return Path(name).is_file() or name.endswith(".mcap")

"""``fullturn practice``: the virtual bench on a pseudo-terminal or TCP port, or written at once."""

import time
from pathlib import Path

import click

from analysis.errors import BadInput


@click.command()
@click.argument("name", required=False, metavar="[NAME]")
@click.option("--write", "out", metavar="FILE", help="Make the recording at once instead of serving.")
@click.option(
    "--seed", type=int, default=1, help="Of noise and motion: the same seed, the same bytes (default 1)."
)
@click.option("--fault", metavar="NAME", help="Put one fault in; --list names them.")
@click.option("--turns", type=click.IntRange(1, 1000), help="Turns to write instead of the scenario's own.")
@click.option("--link", metavar="PATH", help="Make a symbolic link to the port, there while it is served.")
@click.option("--tcp", is_flag=True, help="Serve on a TCP port of 127.0.0.1 instead of a pseudo-terminal.")
@click.option("--list", "listing", is_flag=True, help="List scenarios and faults.")
def command(
    name: str | None,
    out: str | None,
    seed: int,
    fault: str | None,
    turns: int | None,
    link: str | None,
    tcp: bool,
    listing: bool,
) -> int:
    """Serve the virtual bench in real time until Ctrl-C; the first line printed is the port alone.

    NAME is a scenario such as wind-pump/as-found; a job's name alone means its as-found.
    """
    if listing:
        click.echo(_list())
        return 0
    if name is None:
        raise BadInput(
            "no scenario named: try wind-pump/as-found, or list them with fullturn practice --list"
        )
    if out is not None:
        return _write(name, Path(out), seed, fault, turns)
    if turns is not None:
        raise BadInput("--turns goes with --write: a served bench turns until it is ended")
    if tcp or not _has_pty():
        if link is not None:
            raise BadInput("--link needs a pseudo-terminal: leave out --tcp, or leave out --link")
        from logger.practice import serve_tcp  # noqa: PLC0415

        serve_tcp(name, seed, fault, boots=str(time.time_ns()))
    else:
        from logger.practice import serve_pty  # noqa: PLC0415

        serve_pty(name, seed, fault, link, boots=str(time.time_ns()))
    return 0


def _has_pty() -> bool:
    try:
        import pty  # noqa: F401, PLC0415
        import termios  # noqa: F401, PLC0415
    except ImportError:
        return False
    return True


def _write(name: str, out: Path, seed: int, fault: str | None, turns: int | None) -> int:
    from logger.acquisition import Recorder, check_out, seeded_identity  # noqa: PLC0415
    from logger.commands import program_version  # noqa: PLC0415
    from logger.practice import PracticeSource  # noqa: PLC0415

    check_out(out)
    source = PracticeSource(name, seed, fault, turns)
    identity = seeded_identity(source.name, seed, fault, source.now())
    recorder = Recorder(
        source, out, setup=source.setup, identity=identity, version=program_version(), threaded=False
    )
    for _ in recorder.words():
        pass
    recorded = recorder.close()
    if recorded.error is not None:
        raise recorded.error
    click.echo(f"{out}: {recorded.turns} full turns of {source.name.removeprefix('practice:')}, seed {seed}")
    return 0


def _list() -> str:
    from logger.practice import (  # noqa: PLC0415
        FAULTS,
        SCENARIOS,
    )

    lines = ["Scenarios (invented; first-order TIR at its high side):"]
    lines += [f"  {name:<30} {scenario.words}" for name, scenario in SCENARIOS.items()]
    lines += ["", "Faults, and the check that sees each:"]
    lines += [
        f"  {fault.name:<14} {fault.words} -> {fault.check or 'nothing, as it should be'}"
        for fault in FAULTS.values()
    ]
    return "\n".join(lines)

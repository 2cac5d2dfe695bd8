"""The virtual bench: listed, served, or written into a recording."""

import time
from pathlib import Path

import click

from analysis.errors import BadInput
from logger import acquisition, practice
from logger.program_version import PROGRAM_VERSION


def run(
    name: str | None,
    out: str | None,
    seed: int,
    fault: str | None,
    turns: int | None,
    link: str | None,
    tcp: bool,
    listing: bool,
) -> int:
    """Do what the options ask; a served bench runs until Ctrl-C."""
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
    if tcp or not practice.pty_available():
        if link is not None:
            raise BadInput("--link needs a pseudo-terminal: leave out --tcp, or leave out --link")
        practice.serve_tcp(name, seed, fault, boots=str(time.time_ns()))
    else:
        practice.serve_pty(name, seed, fault, link, boots=str(time.time_ns()))
    return 0


def _write(name: str, out: Path, seed: int, fault: str | None, turns: int | None) -> int:
    acquisition.check_out(out)
    recorded = acquisition.write_practice(name, out, PROGRAM_VERSION, seed=seed, fault=fault, turns=turns)
    scenario = practice.PracticeSource(name, seed, fault).scenario.name
    click.echo(f"{out}: {recorded.turns} full turns of {scenario}, seed {seed}")
    return 0


def _list() -> str:
    lines = ["Scenarios (invented; first-order TIR at its high side):"]
    lines += [f"  {name:<30} {scenario.words}" for name, scenario in practice.SCENARIOS.items()]
    lines += ["", "Faults, and the check that sees each:"]
    lines += [
        f"  {fault.name:<14} {fault.words} -> {fault.check or 'nothing, as it should be'}"
        for fault in practice.FAULTS.values()
    ]
    return "\n".join(lines)

"""The turns in the store, oldest first."""

from pathlib import Path

import click

from analysis import store
from analysis.units import format_length
from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions
from logger.reports.phrases import STATE_WORDS, printable
from logger.settings import SettingSource


def run(part: str | None, last: int | None, output: OutputOptions) -> int:
    """Print one line a turn."""
    settings = output.settings()
    where = settings.store.value
    absent = where.endswith(".db") and "://" not in where and not Path(where).exists()
    if absent and (Path(where).parent.is_dir() or settings.store.source == SettingSource.DEFAULT):
        rows = []  # looking makes no store: only record and watch do
    else:
        with store.open_store(where) as opened:
            rows = opened.history(part, last)
    if output.as_json:
        print_json(
            {
                "turns": [
                    {
                        "id": row.id,
                        "part": row.part,
                        "stage": row.stage,
                        "recorded": row.recorded,
                        "tir_fit_mm": row.tir_fit_mm,
                        "high_point_deg": row.high_point_deg,
                        "state": row.state,
                        "recording_id": row.recording_id,
                        "sha256": row.sha256,
                    }
                    for row in rows
                ]
            }
        )
        return 0
    if not rows:
        of_part = f" of {part!r}" if part else ""
        click.echo(f"No turns{of_part} in the store ({where}). fullturn record stores every turn as it ends.")
        return 0
    unit = settings.units.value
    click.echo(f"{len(rows)} turns in {where}; lengths are fitted TIR, angles the high point")
    for row in rows:
        tir = format_length(row.tir_fit_mm, unit) if row.tir_fit_mm is not None else "-"
        high = f"{row.high_point_deg:5.1f} deg" if row.high_point_deg is not None else "-"
        state = STATE_WORDS.get(row.state or "", "no limit")
        name = printable(row.part) or "(no part named)"
        click.echo(f"{row.id:>6}  {row.recorded}  {name:<24} {row.stage:<12} {tir:>11} @ {high}  {state}")
    return 0

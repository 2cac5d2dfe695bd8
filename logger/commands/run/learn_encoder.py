"""An encoder calibrated from a recording in which the mark was touched turn by turn."""

import click

from analysis.angle import calibrate_encoder
from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions, SetupOptions
from logger.recording import RecordingReader
from logger.session import replay


def run(file: str, setup_options: SetupOptions, output: OutputOptions) -> int:
    """Print counts per turn, sense and slip, and how to use them."""
    reader = RecordingReader(file)
    session = replay(reader.items(), {**reader.setup, **setup_options.text()})
    found = calibrate_encoder(session.mark_counts(session.setup.mark_on))
    if output.as_json:
        print_json(
            {
                "turns": found.turns,
                "counts_per_turn": found.counts_per_turn.value,
                "u_counts_per_turn": found.counts_per_turn.u,
                "counts_per_turn_95": found.counts_per_turn.interval(),
                "sense": found.sense,
                "slip_deg": found.slip_deg,
            }
        )
        return 0
    low, high = found.counts_per_turn.interval()
    click.echo(
        f"{found.counts_per_turn.value:.2f} counts per turn over {found.turns} turns (95 %: {low:.2f} to "
        f"{high:.2f}), sense {found.sense:+d}, slip {found.slip_deg:.2f} deg a turn."
    )
    click.echo(
        f"Use it with: --set counts_per_turn={found.counts_per_turn.value:.3f} "
        f"--set u_counts_per_turn={found.counts_per_turn.u:.3f} --set sense={found.sense:+d}"
    )
    return 0

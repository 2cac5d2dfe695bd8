"""``fullturn learn-encoder``: an encoder or a roller learnt by turning by the mark."""

import click

from logger.commands.options import OutputOptions, SetupOptions, print_json, result_options, setup_options


@click.command("learn-encoder")
@click.argument("file")
@setup_options
@result_options
def command(
    file: str,
    asked: SetupOptions,
    output: OutputOptions,
) -> int:
    """Learn counts per turn (a fraction too), sense and slip from a recording.

    Record with --set button_1=mark; turn clockwise as seen from the declared end, one way only, and press
    each time the part's mark stands under the tip: six times or more.
    """
    from analysis.angle import calibrate_encoder  # noqa: PLC0415
    from logger.recording import RecordingReader  # noqa: PLC0415
    from logger.session import replay  # noqa: PLC0415

    reader = RecordingReader(file)
    given = {**reader.setup, **asked.text()}
    session = replay(reader.items(), given)
    learnt = calibrate_encoder(session.mark_counts(session.setup.mark_on))
    if output.as_json:
        print_json(
            {
                "turns": learnt.turns,
                "counts_per_turn": learnt.counts_per_turn,
                "u_counts_per_turn": learnt.u_counts_per_turn,
                "counts_per_turn_95": learnt.interval_counts,
                "sense": learnt.sense,
                "slip_deg": learnt.slip_deg,
            }
        )
        return 0
    low, high = learnt.interval_counts
    click.echo(
        f"{learnt.counts_per_turn:.2f} counts per turn over {learnt.turns} turns (95 %: {low:.2f} to "
        f"{high:.2f}), sense {learnt.sense:+d}, slip {learnt.slip_deg:.2f} deg a turn."
    )
    click.echo(
        f"Use it with: --set counts_per_turn={learnt.counts_per_turn:.3f} "
        f"--set u_counts_per_turn={learnt.u_counts_per_turn:.3f} --set sense={learnt.sense:+d}"
    )
    return 0

"""What a recording holds, and what of it was lost."""

import click

from logger.commands.exit_status import print_json
from logger.commands.options import OutputOptions
from logger.recording import check_file

GAPS_PRINTED = 20


def run(file: str, output: OutputOptions) -> int:
    """Print frames, gaps and the fingerprint of the file."""
    check = check_file(file)
    gaps = [
        {"start_s": gap.start_s, "end_s": gap.end_s, "lost": gap.lost, "why": gap.why} for gap in check.gaps
    ]
    if output.as_json:
        print_json(
            {
                "frames": check.frames,
                "bad": check.bad,
                "lost": check.lost,
                "gaps": gaps,
                "closed": check.closed,
                "bytes": check.bytes,
                "messages": check.messages,
                "skipped_bytes": check.skipped_bytes,
                "sha256": check.sha256,
            }
        )
        return 0
    whole = (
        "whole"
        if check.closed and not check.skipped_bytes and not check.bad and not check.lost
        else "readable"
    )
    closed = "closed" if check.closed else "not closed (its program was ended; what it had read is here)"
    click.echo(f"{file} is {whole}: {check.frames} frames good, {check.bad} bad, {check.lost} lost, {closed}")
    click.echo(
        f"  {check.bytes} bytes, {check.messages} messages, {check.skipped_bytes} bytes belong to "
        f"nothing readable"
    )
    for gap in gaps[:GAPS_PRINTED]:
        click.echo(
            f"  gap from {gap['start_s']:.3f} to {gap['end_s']:.3f} s: {gap['why']}, {gap['lost']} "
            f"frames lost"
        )
    if len(gaps) > GAPS_PRINTED:
        click.echo(f"  and {len(gaps) - GAPS_PRINTED} more gaps")
    click.echo(f"  sha256 {check.sha256}")
    return 0

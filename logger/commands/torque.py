"""``fullturn torque``: the order in which bolts are tightened, in steps."""

import click

from logger.commands.options import OutputOptions, result_options


@click.command()
@click.argument("bolts", type=int, metavar="N")
@click.option("--steps", required=True, metavar='"20,40,60 Nm"', help="Steps as the manual has them.")
@click.option("--thread", type=click.Choice(["right", "left"]), default="right", help="Thread hand.")
@result_options
def command(
    bolts: int, steps: str, thread: str, output: OutputOptions
) -> int:  # fmt: skip
    """Print a criss-cross order for N bolts, bolt 1 at the mark, for every step."""
    from analysis.correction import torque_steps  # noqa: PLC0415
    from logger.commands.emitting import emit  # noqa: PLC0415
    from logger.reports import torque as report  # noqa: PLC0415

    found = torque_steps(bolts, split_steps(steps))
    emit(output, lambda: report.as_json(found), lambda: report.as_text(found, thread))
    return 0


def split_steps(text: str) -> list[str]:
    """Split ``20,40,60 Nm`` into steps; a unit written once at the end is of all of them."""
    steps = [step.strip() for step in text.split(",") if step.strip()]
    unit = steps[-1].lstrip("0123456789.+- ") if steps else ""
    return [
        f"{step} {unit}" if unit and unit != "%" and step.replace(".", "", 1).isdecimal() else step
        for step in steps
    ]

"""The commands, one small module each, loaded only when their own name is typed.

The table below gives name, module and the line that ``--help`` shows; a command's module has ``command``.
"""

import logging
from difflib import get_close_matches
from importlib import import_module
from typing import Any

import click

from analysis import setup
from analysis.errors import BadInput
from logger import reports
from logger.commands.declaring import Runs

COMPLETE_VARIABLE = "_FULLTURN_COMPLETE"
log = logging.getLogger("fullturn")
"""Every part of the program logs below this name."""

TABLE = {
    "tour": "one whole job on the practice bench, told step by step, with its page",
    "watch": "the live screen: reading, TIR, high spot, strip (also without any command)",
    "ports": "list serial ports without opening any",
    "practice": "serve the virtual bench, or write a recording of it at once",
    "record": "record turns from a port (or practice:NAME) and decide",
    "sweep": "analyse recordings, CSV files or typed readings",
    "learn-encoder": "learn counts per turn, sense and slip from marks touched turn by turn",
    "learn-lag": "learn how late a gauge is from sweeps both ways round and at two speeds",
    "compare": "tell how much and which way it changed, and whether two sweeps may be compared",
    "separate": "tell part and spindle apart from sweeps at different index angles",
    "plan-cut": "predict what a cut on this mounting would leave, and plan it",
    "best-hole": "predict every position of a bolted-on part",
    "adjust": "moves of screws, jaws or shims that take order 1 out",
    "backlash": "mean, range and once-round part of backlash readings",
    "thickness": "thickness round a disc: two opposed tips, or a micrometer",
    "endfloat": "end float from a push-pull capture, and its gate",
    "endplay": "the same as endfloat",
    "torque": "in which order bolts are tightened, in steps",
    "check-file": "tell what a recording holds and what was lost",
    "history": "what is in the store: turns, recordings, parts, jobs, and in time",
    "report": "put a part on one page, before and after: HTML or PDF",
    "sheet": "print an empty sheet for readings written down by hand",
    "store": "look after the store: store add FILE..., status, check, find, backup",
    "gauge": "the register of gauges and their certificates: gauge add, list, show",
    "part": "the parts in the store: part list, show, add",
    "job": "the jobs in the store: job list, show, add",
    "export": "write the samples of a recording as CSV, JSON or Parquet",
    "settings": "show each setting and whence it comes",
    "completion": "print the completion script of a shell",
}

ALIASES = {"endplay": "endfloat"}
"""Another word of the trade for the same command."""


class Commands(click.Group):
    """A group that imports a command's module only to run it or to show its own help."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(TABLE)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in TABLE:
            return None
        name = ALIASES.get(cmd_name, cmd_name).replace("-", "_")
        module = import_module(f"logger.commands.{name}")
        found: click.Command = module.command
        return found

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in TABLE:
            if args[0].startswith("-"):
                raise click.NoSuchOption(args[0], ctx=ctx)
            nearest = get_close_matches(args[0], TABLE, n=1)
            guess = f", did you mean {nearest[0]}?" if nearest else ":"
            raise BadInput(f"no command {args[0]!r}{guess} `fullturn --help` lists them")
        return super().resolve_command(ctx, args)

    def format_epilog(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        formatter.write_paragraph()
        formatter.write_text(reports.angle_direction.angle_direction(setup.Setup()))

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(list(TABLE.items()))


def _show_version(ctx: click.Context, _parameter: click.Parameter, given: bool) -> None:
    if given and not ctx.resilient_parsing:
        ctx.exit(Runs("logger.commands.run.version:run")())


@click.group(
    cls=Commands, invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"]}
)
@click.option("--version", is_flag=True, is_eager=True, expose_value=False, callback=_show_version,
              help="Show the versions of program, recording format and store.")  # fmt: skip
@click.option("--verbose", is_flag=True, help="Tell on standard error what is being done.")
@click.option("--log", "log_file", metavar="FILE", help="Write the same into a file.")
@click.pass_context
def cli(ctx: click.Context, verbose: bool, log_file: str | None) -> Any:
    """Measure how a part runs out while it turns, and decide against a limit.

    Readings of a digital indicator and an angle encoder come from a board on a serial port; every turn is
    fitted and stored. Turn by hand with the drive locked out; the maker's manual and local rules come first.

    Begin with: fullturn tour
    """
    handlers: list[logging.Handler] = []
    if verbose:
        handlers.append(logging.StreamHandler())
    if log_file:
        try:
            handlers.append(logging.FileHandler(log_file, encoding="utf-8"))
        except OSError as error:
            raise BadInput(f"--log {log_file}: {error.strerror}; name a file that can be written") from error
    if handlers:
        _log_to(ctx, handlers)
        log.info("command %s", ctx.invoked_subcommand or "watch")
    if ctx.invoked_subcommand is None:
        watch = cli.get_command(ctx, "watch")
        assert watch is not None
        with watch.make_context("watch", [], parent=ctx) as context:
            return watch.invoke(context)
    return None


def _log_to(ctx: click.Context, handlers: list[logging.Handler]) -> None:
    """Let what is logged go to these handlers until the command has ended."""
    level = log.level
    log.setLevel(logging.INFO)
    for handler in handlers:
        handler.setFormatter(logging.Formatter("%(asctime)s %(name)s: %(message)s"))
        log.addHandler(handler)

    def end() -> None:
        for handler in handlers:
            log.removeHandler(handler)
            handler.close()
        log.setLevel(level)

    ctx.call_on_close(end)

"""The command ``fullturn``: runs one command and ends with its status.

Errors are one line on standard error: what was found, what was expected, what to do.
"""

import gc
import os
import sys
import tempfile
import traceback

# One thread for linear algebra, set before numpy is loaded: the matrices are small, threads that wait for
# one another cost more than they bring, and sums come out the same to the last digit on every machine.
for _library in ("OPENBLAS", "OMP", "MKL"):
    os.environ.setdefault(f"{_library}_NUM_THREADS", "1")

FAULT_OF_THE_PROGRAM = 5

try:
    import click
    from click.shell_completion import shell_complete

    from analysis.errors import FullturnError, LinkError
    from logger.commands import COMPLETE_VARIABLE, cli, log
    from logger.commands.declaring import ARGUMENTS
    from logger.commands.end_signals import ignore_end_signals
    from logger.commands.parser_errors import with_what_to_do
    from logger.commands.standard_streams import guard_standard_streams
except ImportError as missing:
    # The interpreter would end with 1, and that means over the limit.
    sys.stderr.write(f"fullturn: the installation is not whole ({missing}): install it again\n")
    raise SystemExit(FAULT_OF_THE_PROGRAM) from None


def main(arguments: list[str] | None = None) -> None:
    """Run and exit."""
    # Nearly all that a command makes lives until its end, or dies by itself: what only a search for circles
    # could free is looked for seldom, and not once more at the end. That is a tenth of a short command.
    gc.set_threshold(50_000, 20, 20)
    status = FAULT_OF_THE_PROGRAM
    guard_standard_streams()
    try:
        status = run(sys.argv[1:] if arguments is None else arguments)
        gc.freeze()
    finally:
        ignore_end_signals()
        # Whatever is under way: a status of the interpreter's own would be read as a verdict.
        sys.exit(status)


def run(arguments: list[str]) -> int:
    """Run one command and return the exit status."""
    if COMPLETE_VARIABLE in os.environ:
        return shell_complete(cli, {}, "fullturn", COMPLETE_VARIABLE, os.environ[COMPLETE_VARIABLE])
    try:
        with cli.make_context("fullturn", list(arguments)) as context:
            context.meta[ARGUMENTS] = tuple(arguments)
            try:
                status = cli.invoke(context)
            except FullturnError as error:
                log.info("refused with %d: %s", error.exit_status, _one_line(str(error)))
                raise
            log.info("ended with %s", status)
        sys.stdout.flush()
        return status if isinstance(status, int) else 0
    except click.exceptions.Exit as asked:
        return asked.exit_code
    except click.ClickException as error:
        return _complain(_one_line(with_what_to_do(error)), 2)
    except FullturnError as error:
        return _complain(_one_line(str(error)), error.exit_status)
    except click.Abort:
        return 0
    except KeyboardInterrupt:
        return _complain("ended before there was a result", LinkError.exit_status)
    except Exception as error:
        return _complain(
            f"fault of the program ({type(error).__name__}: {_one_line(str(error))}); the traceback lies in "
            f"{_keep_traceback()}: please send it with what you typed",
            FAULT_OF_THE_PROGRAM,
        )


def _complain(line: str, status: int) -> int:
    print(f"fullturn: {line}", file=sys.stderr)
    return status


def _one_line(text: str) -> str:
    return " ".join("".join(c if c.isprintable() or c.isspace() else "?" for c in text).split())


def _keep_traceback() -> str:
    try:
        with tempfile.NamedTemporaryFile("w", prefix="fullturn-", suffix=".txt", delete=False) as file:
            traceback.print_exc(file=file)
            return file.name
    except OSError as error:
        return f"no file ({error.strerror})"


if __name__ == "__main__":
    main()

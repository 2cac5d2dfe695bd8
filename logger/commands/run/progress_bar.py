"""A progress bar on standard error, shown only for large files at a terminal."""

import sys
from typing import Any

import click

BAR_FROM_BYTES = 4_000_000


class ProgressBar:
    """Entered, it is what a reader calls with bytes done and bytes in all."""

    def __init__(self) -> None:
        self._bar: Any = None
        self._done = 0

    def __enter__(self) -> "ProgressBar":
        return self

    def __exit__(self, *_: object) -> None:
        if self._bar is not None:
            self._bar.render_finish()

    def __call__(self, done: int, whole: int) -> None:
        """Show how much of a file has been read."""
        if whole < BAR_FROM_BYTES or not sys.stderr.isatty():
            return
        if self._bar is None:
            self._bar = click.progressbar(length=whole, label="reading", file=sys.stderr)
        self._bar.update(done - self._done)
        self._done = done

"""A progress bar on standard error, shown only for large files at a terminal."""

import sys
from typing import Any

import click

BAR_FROM_BYTES = 4_000_000


class ProgressBar:
    """Entered, it is what a reader calls with bytes done and bytes in all."""

    def __init__(self) -> None:
        self._bar: Any = None
        self._shown_bytes = 0

    def __enter__(self) -> "ProgressBar":
        return self

    def __exit__(self, *_: object) -> None:
        if self._bar is not None:
            self._bar.render_finish()

    def __call__(self, done_bytes: int, whole_bytes: int) -> None:
        """Show how much of a file has been read."""
        if whole_bytes < BAR_FROM_BYTES or not sys.stderr.isatty():
            return
        if self._bar is None:
            self._bar = click.progressbar(length=whole_bytes, label="reading", file=sys.stderr)
        self._bar.update(done_bytes - self._shown_bytes)
        self._shown_bytes = done_bytes

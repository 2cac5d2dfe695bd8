"""The errors of both packages: each carries the exit status a command ends with.

A message says what was found, what was expected and what to do, in one line.
"""


class FullturnError(Exception):
    """Anything the program refuses; the class says with which status a command then ends."""

    exit_status = 5


class BadInput(FullturnError, ValueError):
    """What a person typed, or a file or set-up holds, cannot be used."""

    exit_status = 2


class RecordingError(FullturnError, ValueError):
    """A recording cannot be opened, read or written."""

    exit_status = 2


class StoreError(FullturnError, RuntimeError):
    """The store of results cannot be opened, read or written."""

    exit_status = 2


class StoreBusy(StoreError):
    """Another program holds the store for the moment; the same may be taken later."""


class StoreDamaged(StoreError):
    """Part of the store cannot be read; what lies beside it can."""


class NotDecidable(FullturnError, ArithmeticError):
    """The numbers asked for cannot be had from these data."""

    exit_status = 3


class LinkError(FullturnError, OSError):
    """The port or the board behind it: absent, held by another program, silent or gone."""

    exit_status = 4

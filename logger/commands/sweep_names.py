"""The type of whatever stands for a sweep on a command line: a file, ``practice:NAME`` or ``store:...``."""

from typing import Any

import click

from analysis import store
from logger import inputs
from logger.commands.run.chosen_store import present_store
from logger.settings import load_settings

STORE = "store:"


class SweepName(click.types.StringParamType):
    """A sweep by name; a command gets ``store:...`` as the file that it stands for.

    ``--store`` is read before it, wherever it is typed.
    """

    name = "file"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the name; of a stored recording its file. Raises BadInput where that cannot be used."""
        if ctx is None or ctx.resilient_parsing or not str(value).startswith(STORE):
            return value
        typed = ctx.params.get("store")  # of a library's own kind where it was not typed
        where = typed if isinstance(typed, str) else None
        with present_store(load_settings(store=where)) as opened:
            return self._of_store(str(value), opened)

    def _of_store(self, name: str, opened: "store.Store") -> str:
        return inputs.file_of(name, opened)


class ComparedName(SweepName):
    """The same for a command that can do with stored vectors: the name as typed where the file is gone."""

    def _of_store(self, name: str, opened: "store.Store") -> str:
        return name if inputs.is_gone(name, opened) else super()._of_store(name, opened)


SWEEP_NAME, COMPARED_NAME = SweepName(), ComparedName()

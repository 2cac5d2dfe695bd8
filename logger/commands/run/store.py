"""The store looked after: what it holds, whether its files are whole, where moved ones lie, a copy of it."""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from analysis import store
from analysis.errors import BadInput
from logger import reports
from logger.commands.emitting import emit_plain
from logger.commands.options import OutputOptions
from logger.commands.run import store_adding
from logger.commands.run.chosen_store import is_yet_to_be_made, present_store
from logger.inputs import check_files, find_files

NOT_WHOLE = 2
"""Status of a store of which something is altered, missing or damaged; what is, is printed all the same."""


def run(action: str, files: Sequence[str], output: OutputOptions) -> int:
    """Do what was asked for."""
    what, fewest, most = _TAKES[action]
    if len(files) < fewest:
        raise BadInput(
            f"store {action} says no {what}: write it after it, as in fullturn store {action} {what}"
        )
    if most is not None and len(files) > most:
        found = ", ".join(map(repr, files))
        takes = f"one {what}" if most else "nothing"
        raise BadInput(f"store {action} takes {takes} and found {found}: leave out what is too much")
    return _ACTIONS[action](files, output)


def _status(_: Sequence[str], output: OutputOptions) -> int:
    settings = output.settings()
    where, holdings, damage = settings.store.value, None, list[str]()
    if not is_yet_to_be_made(settings):
        with store.open_store(where) as opened:
            where, damage = opened.name, opened.upkeep.damage()
            holdings = None if damage else opened.upkeep.holdings()
    size = Path(where).stat().st_size if "://" not in where and Path(where).exists() else None
    emit_plain(
        output,
        lambda: reports.store_upkeep.status_as_json(where, size, holdings, damage),
        lambda: reports.store_upkeep.status_as_text(where, size, holdings, damage),
    )
    return NOT_WHOLE if damage else 0


def _check(_: Sequence[str], output: OutputOptions) -> int:
    with present_store(output.settings()) as opened:
        found, where = check_files(opened), opened.name
    emit_plain(
        output,
        lambda: reports.store_upkeep.check_as_json(found),
        lambda: reports.store_upkeep.check_as_text(found, where),
    )
    return NOT_WHOLE if found.altered or found.missing else 0


def _find(files: Sequence[str], output: OutputOptions) -> int:
    with present_store(output.settings()) as opened:
        found = find_files(opened, Path(files[0]))
    emit_plain(
        output,
        lambda: reports.store_upkeep.find_as_json(found),
        lambda: reports.store_upkeep.find_as_text(found, files[0]),
    )
    return 0


def _backup(files: Sequence[str], output: OutputOptions) -> int:
    target = Path(files[0])
    if target.suffix != ".db":
        raise BadInput(
            f"store backup {files[0]!r} does not end in .db: name the copy so, to open it as a store"
        )
    with present_store(output.settings()) as opened:
        opened.upkeep.backup(target)
        where = opened.name
    size = target.stat().st_size
    emit_plain(
        output,
        lambda: reports.store_upkeep.backup_as_json(str(target), size),
        lambda: reports.store_upkeep.backup_as_text(str(target), size, where),
    )
    return 0


_ACTIONS: Mapping[str, Callable[[Sequence[str], OutputOptions], int]] = {
    "add": store_adding.add,
    "status": _status,
    "check": _check,
    "find": _find,
    "backup": _backup,
}
_TAKES: Mapping[str, tuple[str, int, int | None]] = {
    "add": ("FILE...", 1, None),
    "status": ("", 0, 0),
    "check": ("", 0, 0),
    "find": ("FOLDER", 1, 1),
    "backup": ("FILE.db", 1, 1),
}
"""What stands after each: its name, how many at least and at most."""

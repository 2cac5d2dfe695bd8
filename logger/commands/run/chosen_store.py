"""The store in force, and what a command line has to say to name it again."""

import shlex
from pathlib import Path

from analysis import store
from analysis.errors import BadInput
from logger import acquisition
from logger.settings import Settings, SettingSource


def chosen_store(settings: Settings) -> str:
    """Return path or URL of the store that is written to. The folder of the one that nobody named is made.

    Raises RecordingError where it cannot be.
    """
    if settings.store.source == SettingSource.DEFAULT:
        acquisition.make_folder(settings.data_folder)
    return settings.store.value


def is_yet_to_be_made(settings: Settings) -> bool:
    """Tell whether the store in force is a file that is not there: whoever only looks makes none.

    One in a folder that is not there either was named wrongly, and opening it says so.
    """
    where = settings.store.value
    absent = where.endswith(".db") and "://" not in where and not Path(where).exists()
    return absent and (Path(where).parent.is_dir() or settings.store.source == SettingSource.DEFAULT)


def present_store(settings: Settings) -> "store.Store":
    """Open the store in force; looking makes none. Raises BadInput where there is none, StoreError."""
    if is_yet_to_be_made(settings):
        raise BadInput(
            f"store {settings.store.value!r} is not there: record or `fullturn store add FILE` makes it, or "
            "name another one with --store"
        )
    return store.open_store(settings.store.value)


def store_option(settings: Settings) -> str:
    """Return the option that names the store again, where one did.

    A URL is not repeated: it may hold a password.
    """
    if settings.store.source != SettingSource.OPTION:
        return ""
    return "--store URL" if "://" in settings.store.value else f"--store {shlex.quote(settings.store.value)}"

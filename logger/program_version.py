"""The version of the program."""

from importlib.metadata import PackageNotFoundError, version


def program_version() -> str:
    """Return the version of this program; ``0+source`` where it runs without being installed."""
    try:
        return version("fullturn")
    except PackageNotFoundError:
        return "0+source"

"""Which tests one worker of several runs: a file each, so that what it sets up for a whole file is set up once.

All that emulate the board are one unit: two of them at the pace of life would wait for each other's core. xdist's own
groups do not serve: a newer pytest silently ignores how it writes them behind a test's name.
"""

import pytest
from xdist.remote import Producer
from xdist.scheduler import LoadFileScheduling

EMULATED = "test_firmware"
"""Begins the name of every file that emulates the board."""


def unit_of(nodeid: str) -> str:
    """Return the name of the unit that a test belongs to."""
    file = nodeid.partition("::")[0]
    return EMULATED if file.rpartition("/")[2].startswith(EMULATED) else file


class FilesScheduling(LoadFileScheduling):
    """Hands out whole units."""

    def _split_scope(self, nodeid: str) -> str:
        return unit_of(nodeid)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Producer) -> FilesScheduling | None:
    """Return the scheduler of ``--dist loadfile``; None leaves it to xdist."""
    return FilesScheduling(config, log) if config.getvalue("dist") == "loadfile" else None

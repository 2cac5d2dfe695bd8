"""A PostgreSQL server of the tests' own, in a folder of its own, reached by a socket in that folder alone.

Debian and Ubuntu: ``apt-get install postgresql``; where it is missing, ``NEEDED`` skips with the reason.
"""

import getpass
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
import pytest

ROOT_USER = 0
PLAIN_USER = "postgres"
"""Whose server it is where root runs the tests: the server refuses to be root's."""


def _programs() -> Path | None:
    """Return the folder of the newest server that is installed; None where there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: int(path.parts[-3]))
    on_path = shutil.which("initdb")
    if found:
        return found[-1].parent
    return Path(on_path).parent if on_path else None


PROGRAMS = _programs()
NEEDED = pytest.mark.skipif(PROGRAMS is None, reason="not installed: postgresql")


class Server:
    """A server that can be stopped and started again; its databases stay."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self.user = PLAIN_USER if os.getuid() == ROOT_USER else getpass.getuser()
        self._run("initdb", "--auth=trust", "--encoding=UTF8", "--no-sync", "-U", self.user, "-D", "data")

    def start(self) -> None:
        """Start it and wait until it answers."""
        options = f"-c listen_addresses='' -c unix_socket_directories={self._folder} -c fsync=off"
        self._run("pg_ctl", "-D", "data", "-w", "-l", "log", "-o", options, "start")

    def stop(self) -> None:
        """Stop it at once, whoever is connected."""
        self._run("pg_ctl", "-D", "data", "-w", "-m", "fast", "stop")

    def make_database(self, name: str, template: str = "template1") -> str:
        """Make a database, empty or a copy of another one, and return the URL of a store in it."""
        with psycopg.connect(
            host=str(self._folder), user=self.user, dbname="postgres", autocommit=True
        ) as server:
            server.execute(f"CREATE DATABASE {name} TEMPLATE {template}")
        return f"postgresql:///{name}?host={self._folder}&user={self.user}"

    def _run(self, program: str, *arguments: str) -> None:
        assert PROGRAMS is not None
        command = [str(PROGRAMS / program), *arguments]
        if os.getuid() == ROOT_USER:
            command = ["runuser", "-u", PLAIN_USER, "--", *command]
        # Not into a pipe: the server that it leaves behind would keep that open.
        with (self._folder / "words").open("w+") as words:
            ran = subprocess.run(command, cwd=self._folder, stdout=words, stderr=words, check=False)
            words.seek(0)
            assert ran.returncode == 0, words.read()


@contextmanager
def server() -> Iterator[Server]:
    """Run a server until the end of the block."""
    # Not in pytest's folders: no other user may look into those.
    folder = Path(tempfile.mkdtemp(prefix="fullturn-server-"))
    try:
        if os.getuid() == ROOT_USER:
            shutil.chown(folder, PLAIN_USER)
        made = Server(folder)
        made.start()
        try:
            yield made
        finally:
            if (folder / "data" / "postmaster.pid").exists():
                made.stop()
    finally:
        shutil.rmtree(folder)

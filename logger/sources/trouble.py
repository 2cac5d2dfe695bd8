"""Say why a port did not open: what was found, what was expected, what to do. Opens nothing itself."""

import errno
import os
from collections.abc import Sequence

from analysis.errors import LinkError
from logger.sources.known import PortInfo
from logger.sources.search import SOCKET

_ABSENT = (errno.ENOENT, errno.ENODEV, errno.ENXIO, errno.ENOTDIR)
_HELD = (errno.EAGAIN, errno.EBUSY)
_FORBIDDEN = (errno.EACCES, errno.EPERM)
_NO_PORT = (errno.ENOTTY, errno.EINVAL, errno.EISDIR, errno.ENOTSUP)


def open_trouble(path: str, error: BaseException, listed: Sequence[PortInfo]) -> LinkError:
    """Return the error that tells why ``path`` did not open; ``listed`` are the ports that are there."""
    number = error_number(error)
    if path.startswith(SOCKET):
        return LinkError(
            f"nothing answers at {path} ({_reason(number, error)}): start what should listen there"
        )
    if number in _ABSENT:
        return LinkError(f"no port {path}: {_there(listed)}")
    # Where there are no groups, a port that another program holds is refused as a matter of rights.
    if number in _HELD or (number in _FORBIDDEN and os.name == "nt"):
        return LinkError(
            f"{path} is held by another program: end that one, or look at what it records; "
            "only one program can read a port"
        )
    if number in _FORBIDDEN:
        return LinkError(_forbidden(path))
    if number in _NO_PORT:
        return LinkError(f"{path} is no serial port: {_there(listed)}")
    return LinkError(
        f"{path} does not open ({_reason(number, error)}): unplug the board, plug it in again and try again"
    )


def terminal_errors() -> tuple[type[Exception], ...]:
    """Return what the system's terminals raise of their own; nothing where there are none."""
    try:
        import termios
    except ImportError:
        return ()
    return (termios.error,)


def error_number(error: BaseException | None) -> int | None:
    """Return the system's number of an error, from itself or from the one it was made of."""
    while error is not None:
        number = getattr(error, "errno", None)
        if number is None and error.args and isinstance(error.args[0], int):
            number = error.args[0]  # a terminal's own error has its number there
        if isinstance(number, int):
            return number
        error = error.__cause__ or error.__context__
    return None


def _reason(number: int | None, error: BaseException) -> str:
    return os.strerror(number) if number is not None else " ".join(str(error).split())


def _there(listed: Sequence[PortInfo]) -> str:
    if not listed:
        return "no serial port is there at all; plug the board in, or look at its cable"
    names = ", ".join(f"{port.path} ({port.product})" if port.product else port.path for port in listed)
    return f"found {names}; plug the board in, or name one of these"


def _forbidden(path: str) -> str:
    group = _group_of(path)
    if not group:
        return f"no permission to open {path}: ask whoever looks after this computer"
    return (
        f"no permission to open {path}: it belongs to the group {group}; join it "
        f"(sudo usermod -aG {group} $USER) and log in again"
    )


def _group_of(path: str) -> str:
    try:
        import grp

        return grp.getgrgid(os.stat(path).st_gid).gr_name
    except (ImportError, KeyError, OSError):
        return ""

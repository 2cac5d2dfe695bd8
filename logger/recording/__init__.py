"""Recordings: raw bytes, events and set-ups in one file that is only ever added to.

The public names are loaded when first used, so that writing does not load what only checking needs.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from logger.recording.check import FileCheck, check_file
    from logger.recording.layout import FORMAT, Origin
    from logger.recording.reader import RecordingReader, read_items, sha256_of
    from logger.recording.writer import RecordingWriter

_HOME = {
    "FORMAT": "logger.recording.layout",
    "FileCheck": "logger.recording.check",
    "Origin": "logger.recording.layout",
    "RecordingReader": "logger.recording.reader",
    "RecordingWriter": "logger.recording.writer",
    "check_file": "logger.recording.check",
    "read_items": "logger.recording.reader",
    "sha256_of": "logger.recording.reader",
}

__all__ = [
    "FORMAT",
    "FileCheck",
    "Origin",
    "RecordingReader",
    "RecordingWriter",
    "check_file",
    "read_items",
    "sha256_of",
]


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(import_module(_HOME[name]), name)
    raise AttributeError(f"module 'logger.recording' has no attribute {name!r}")

"""What an exported file keeps of the recording that it came from: identity, link and every check's state.

Words in and out, one ``KEY = value`` each, under a seal over them all. A file whose words do not fit their
seal was changed or damaged: that is said, and nothing of it is believed.
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

LINK_COUNTS = ("frames", "bad", "lost", "dropped", "enc_errors", "restarts")
STATES = ("clear", "doubtful", "refused")
_CHECK = "check."
_DO = "do."
_SEAL = "seal"


@dataclass(frozen=True, slots=True)
class RecordedCheck:
    """A check as it stood when the recording itself was analysed."""

    name: str
    state: str
    text: str
    do: str = ""


@dataclass(frozen=True, slots=True)
class FromRecording:
    """What is known of the recording behind a file."""

    recording_id: str | None = None
    sha256: str | None = None
    """Of the recording; None where the readings came from elsewhere, such as the practice bench."""
    link: Mapping[str, int] | None = field(default=None, hash=False)
    """The counts named in ``LINK_COUNTS``."""
    checks: tuple[RecordedCheck, ...] = ()
    damaged: str = ""
    """Why none of it is believed; empty where all fits."""


def recorded_words(source: FromRecording) -> dict[str, str]:
    """Return it as words, the seal last."""
    words: dict[str, str] = {}
    if source.recording_id:
        words["recording_id"] = _one_line(source.recording_id)
    if source.sha256:
        words["sha256"] = source.sha256
    if source.link is not None:
        words["link"] = ", ".join(f"{name} {source.link[name]}" for name in LINK_COUNTS)
    for check in source.checks:
        key = check.name.replace("-", "_")  # a key of a line has no hyphen, the name of a check no underscore
        words[f"{_CHECK}{key}"] = f"{check.state}: {_one_line(check.text)}"
        if check.do:
            words[f"{_DO}{key}"] = _one_line(check.do)
    return {**words, _SEAL: _seal(list(words.items()))}


def read_recorded(lines: Sequence[tuple[str, str]]) -> FromRecording | None:
    """Return what these words say, in the order of the file; None where there are none. Never raises."""
    if not lines:
        return None
    words = dict(lines)
    kept = [(key, value) for key, value in lines if key != _SEAL]
    if len(words) != len(lines) or words.get(_SEAL) != _seal(kept):
        return FromRecording(damaged="its from lines do not fit their seal")
    try:
        return FromRecording(
            words.get("recording_id"),
            words.get("sha256"),
            _link(words["link"]) if "link" in words else None,
            tuple(
                _check(key.removeprefix(_CHECK), value, words)
                for key, value in kept
                if key.startswith(_CHECK)
            ),
        )
    except ValueError as error:
        return FromRecording(damaged=str(error))


def _one_line(text: str) -> str:
    """Return text that reads back as written: printable, without blanks or separators at its ends."""
    return "".join(character if character.isprintable() else " " for character in text).strip(" ,;\t")


def _seal(words: Sequence[tuple[str, str]]) -> str:
    return hashlib.sha256("\n".join(f"{key}={value}" for key, value in words).encode()).hexdigest()[:16]


def _link(text: str) -> dict[str, int]:
    pairs = (part.split() for part in text.split(","))
    counts = {name: int(count) for name, count in pairs}
    if tuple(counts) != LINK_COUNTS:
        raise ValueError(f"from.link = {text!r} is not understood")
    return counts


def _check(key: str, value: str, words: Mapping[str, str]) -> RecordedCheck:
    state, colon, text = value.partition(": ")
    if not colon or state not in STATES:
        raise ValueError(f"from.check.{key} = {value!r} is not understood")
    return RecordedCheck(key.replace("_", "-"), state, text, words.get(f"{_DO}{key}", ""))

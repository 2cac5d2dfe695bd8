"""Serial numbers as a person writes them: many in short, and one on a line that was typed or scanned."""

import re
from dataclasses import dataclass

from analysis.errors import BadInput

MOST = 10_000
"""So many parts are one batch at most: more is a slip of the keyboard."""
LONGEST = 60
"""Letters of one serial."""
_RANGE = re.compile(r"([^{}]*)\{(\d+)\.\.(\d+)\}([^{}]*)")


@dataclass(frozen=True)
class Named:
    """A part is named by its serial."""

    serial: str


@dataclass(frozen=True)
class Again:
    """The part that was measured last, or the one that was asked about, is measured once more."""


@dataclass(frozen=True)
class Skip:
    """The part that is named is left out, with a reason."""

    reason: str


TypedLine = Named | Again | Skip


def expand_serials(text: str) -> tuple[str, ...]:
    """Return the serials that ``A-{001..200}`` stands for, several such with commas between, in their order.

    Raises BadInput for what is no list, names a serial twice or names too many.
    """
    found: list[str] = []
    for each in text.split(","):
        found += _expand(each.strip())
        if len(found) > MOST:
            raise BadInput(f"--serials {text!r} names more than {MOST} parts: give them in several batches")
    twice = (
        next((one for k, one in enumerate(found) if one in found[:k]), None)
        if len(set(found)) < len(found)
        else None
    )
    if twice is not None:
        raise BadInput(f"--serials {text!r} names {twice} twice: each part has one serial")
    return tuple(found)


def _expand(text: str) -> list[str]:
    match = _RANGE.fullmatch(text)
    if match is None:
        if "{" in text or "}" in text:
            raise BadInput(f"--serials {text!r}: expected one range such as A-{{001..200}}; write it so")
        return [_serial(text)]
    before, first, last, after = match.groups()
    if int(last) < int(first):
        raise BadInput(f"--serials {text!r} runs backwards: write the smaller number first")
    if int(last) - int(first) >= MOST:
        raise BadInput(f"--serials {text!r} names more than {MOST} parts: give them in several batches")
    return [_serial(f"{before}{number:0{len(first)}d}{after}") for number in range(int(first), int(last) + 1)]


def parse_line(line: str) -> TypedLine:
    """Return what a line that was typed or scanned asks for; raises BadInput for one that asks for nothing.

    ``skip REASON`` and ``again`` are commands, and therefore no serials.
    """
    words = line.strip()
    if words.lower() == "again":
        return Again()
    if words.lower() == "skip":
        raise BadInput("skip needs its reason: type skip and why, as skip burr on the face")
    if words[:5].lower() == "skip ":
        return Skip(words[5:].strip())
    return Named(_serial(words))


def _serial(text: str) -> str:
    if not text:
        raise BadInput("an empty line names no part: type or scan its serial")
    strange = next((letter for letter in text if not letter.isprintable()), None)
    if strange is not None:
        raise BadInput(
            f"the line holds a character that cannot be printed ({strange!a}), expected a plain serial: "
            "scan it again, or set the scanner to send the serial and Enter alone"
        )
    if len(text) > LONGEST:
        raise BadInput(
            f"{text[:20]!r}... has {len(text)} letters, a serial at most {LONGEST}: "
            "were two scanned in one line?"
        )
    if text.lower() in ("again", "skip") or text[:5].lower() == "skip ":
        raise BadInput(f"{text!r} is a command here and no serial: give that part another one")
    return text

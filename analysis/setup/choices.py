"""Words of the set-up that come from a closed list, as values."""

from enum import StrEnum


class MarkSide(StrEnum):
    """Whose mark: the part's, or that of the arbor (spindle) it sits on."""

    PART = "part"
    ARBOR = "arbor"

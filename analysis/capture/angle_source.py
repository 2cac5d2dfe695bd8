"""Where the angle of a sweep's readings comes from."""

from enum import StrEnum


class AngleSource(StrEnum):
    """Where the angle of each reading comes from; what follows from it stands with it."""

    ENCODER = "encoder"
    INDEX = "index"
    STOPS = "stops"
    STEADY = "steady"
    TYPED = "typed"
    NONE = "none"

    @property
    def is_by_time(self) -> bool:
        """True where time tells the angle within a turn: turning unevenly bends its curve sideways."""
        return self is AngleSource.INDEX

    @property
    def is_by_places(self) -> bool:
        """True where each reading was taken standing at a known place: nothing is turned while it is read."""
        return self in (AngleSource.STOPS, AngleSource.TYPED)

    @property
    def has_mark(self) -> bool:
        """True where angles count from a mark of part or arbor, so that sweeps can be put together."""
        return self is not AngleSource.STEADY

    @property
    def has_live_turns(self) -> bool:
        """True where a turn is known as soon as it ends; the others are known when their sweep is whole."""
        return self in (AngleSource.ENCODER, AngleSource.INDEX)

    @property
    def is_timed_turning(self) -> bool:
        """True where the part turns while it is read, so that a late reading stands at a wrong angle."""
        return self in (AngleSource.ENCODER, AngleSource.INDEX)

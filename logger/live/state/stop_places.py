"""Stops: which place comes next, and what was read standing at those before it."""

from collections.abc import Callable
from dataclasses import dataclass, field

from analysis.setup import Setup


@dataclass
class StopPlaces:
    """The places of the newest set of stops."""

    readings_mm: list[float] = field(default_factory=list)
    """One for each place stopped at; one more for the first again."""

    def take(self, setup: Setup, reading_mm: float, draw: Callable[[float, float], None]) -> None:
        """Take one reading; after a whole set a new one begins. ``draw`` gets degrees and mm."""
        places = places_of(setup)
        if not places:
            return
        if len(self.readings_mm) > places:
            self.readings_mm.clear()
        draw(360.0 * (len(self.readings_mm) % places) / places, reading_mm)
        self.readings_mm.append(reading_mm)

    def words(self, setup: Setup) -> str:
        """Return which place comes next: ``place 3 of 8``, ``place 1 again``."""
        places, there = places_of(setup), len(self.readings_mm)
        if not places:
            return "how many places? set places in Set-up"
        if there == places:
            return "place 1 again"
        return f"place {there % (places + 1) + 1} of {places}"

    def missing(self, setup: Setup) -> list[tuple[float, float]]:
        """Return the stretches around the places not stopped at yet, degrees."""
        places = places_of(setup)
        there = min(len(self.readings_mm), places)
        if not places:
            return [(0.0, 360.0)]
        half = 180.0 / places
        return [] if there == places else [(360.0 * there / places - half, 360.0 - half)]


def places_of(setup: Setup) -> int:
    """Return at how many places is stopped; 0 where nothing says it."""
    return setup.places or len(setup.holes)

"""Stops: which place comes next, and what was read standing at those before it."""

from dataclasses import dataclass

from analysis.setup import Setup


@dataclass(frozen=True)
class StopPlaces:
    """The places of the newest set of stops."""

    readings_mm: tuple[float, ...] = ()
    """One for each place stopped at; one more for the first again."""

    def take(self, places: int, reading_mm: float) -> tuple["StopPlaces", float]:
        """Return it with one reading more, and at how many degrees; after a whole set it begins anew."""
        there = () if len(self.readings_mm) > places else self.readings_mm
        return StopPlaces((*there, reading_mm)), 360.0 * (len(there) % places) / places

    def words(self, setup: Setup) -> str:
        """Return which place comes next: ``place 3 of 8``, ``place 1 again``."""
        places, there = places_of(setup), len(self.readings_mm)
        if not places:
            return "how many places? set places in Set-up"
        if there == places:
            return "place 1 again"
        return f"place {there % (places + 1) + 1} of {places}"

    def missing(self, setup: Setup) -> tuple[tuple[float, float], ...]:
        """Return the arcs around the places not stopped at yet, degrees."""
        places = places_of(setup)
        there = min(len(self.readings_mm), places)
        if not places:
            return ((0.0, 360.0),)
        half = 180.0 / places
        return () if there == places else ((360.0 * there / places - half, 360.0 - half),)


def places_of(setup: Setup) -> int:
    """Return at how many places is stopped; 0 where nothing says it."""
    return setup.places or len(setup.holes)

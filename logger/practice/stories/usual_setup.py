"""The set-up that stories share: one gauge, set on one part that is read once round."""

from logger.practice.bench.board import NAME
from logger.practice.bench.gauge import GAUGE_DELAY


def setup_of(part: str, job: str, surface: str, radius_mm: float) -> dict[str, str]:
    """Return the set-up of a part in a story's job, as text; the order is that of the recordings' bytes."""
    return {
        "part": part,
        "job": f"{job}, demo",
        "surface": surface,
        "track_radius": f"{radius_mm:g} mm",
        "declared_end": "gauge",
        "sense": "+1",
        "mark": "event",
        "mark_on": "part",
        "gauge_id": NAME,
        "gauge_type": "plunger",
        "gauge_delay": GAUGE_DELAY,
        "stage": "other",
        "operator": "practice",
    }

"""What the registers of parts, jobs and gauges know of a sweep: the one place where it is asked."""

from dataclasses import dataclass

from logger.inputs import AnalysedSweep


@dataclass(frozen=True, slots=True)
class Registered:
    """Entries of the registers for one sweep; None = not recorded."""

    serial: str | None = None
    drawing: str | None = None
    customer: str | None = None
    contact: str | None = None
    received: str | None = None
    condition: str | None = None
    place: str | None = None
    temperature: str | None = None
    gauge_certificate: str | None = None


def registered(sweep: AnalysedSweep) -> Registered:
    """Return what its recording carries of them; what stands in the store alone is not asked for yet."""
    text = sweep.result.setup.text
    place = "; ".join(text[key] for key in ("bench", "place") if text.get(key))
    return Registered(
        serial=text.get("serial"),
        place=place or None,
        temperature=text.get("temperature"),
        gauge_certificate=text.get("gauge_certificate"),
    )

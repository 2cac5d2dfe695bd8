"""What only a register of parts, jobs and gauges can know of a sweep: the one place where it is asked."""

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
    """Return what the registers hold of a sweep: nothing, while no register is asked."""
    return Registered()

"""What the registers of parts, jobs and gauges know of a sweep: the one place where it is asked."""

from dataclasses import dataclass

from analysis import store
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


def registered(sweep: AnalysedSweep, opened: "store.Store | None" = None) -> Registered:
    """Return what its recording carries of them, and what the store's registers of part and job say.

    ``opened`` None: no store is asked. What the recording carries holds first. Raises StoreError.
    """
    text = sweep.result.setup.text
    part, job = _part(text.get("part", ""), text.get("serial", ""), opened), None
    if opened is not None and text.get("job"):
        found = opened.register.job(text["job"])
        job = found[0] if found is not None else None
    here = "; ".join(text[key] for key in ("bench", "place") if text.get(key))
    return Registered(
        serial=text.get("serial"),
        drawing=part.drawing if part else None,
        customer=(job.customer if job else None) or (part.customer if part else None),
        contact=job.contact if job else None,
        received=job.received if job else None,
        condition=job.condition if job else None,
        place=here or (job.place if job else None),
        temperature=text.get("temperature"),
        gauge_certificate=text.get("gauge_certificate"),
    )


def _part(number: str, serial: str, opened: "store.Store | None") -> "store.PartEntry | None":
    """Return the entry of a part; of one without a serial where its own has none."""
    if opened is None or not number:
        return None
    found = {entry.serial: entry for entry, _ in opened.register.parts_of_number(number)}
    own, general = found.get(serial), found.get("")
    # A part that a recording named has a row that says nothing: what was entered of its number holds.
    return own if own is not None and (own.drawing or own.customer) else general or own

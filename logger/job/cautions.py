"""Cautions at the steps of a job, each in one line; the maker's manual and local rules come first."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution, acknowledged once per job."""

    key: str
    text: str
    """Whole, to be acknowledged."""
    short: str
    """What stays on the page afterwards."""


CAUTIONS = {
    one.key: one
    for one in (
        Caution(
            "lifting",
            "Lift locked on its latches, never under a vehicle held by a jack alone; engine or high-voltage "
            "system cannot start; turning one wheel turns the other; heavy parts need a hoist or a second "
            "person.",
            "lift on its latches, nothing can start, heavy parts need a hoist",
        ),
        Caution(
            "dust",
            "Old brake and clutch dust may hold asbestos: never blow it off; wet method or a HEPA vacuum.",
            "never blow dust off",
        ),
        Caution(
            "turning",
            'Call out "turning". Turn by hand, or at creep speed with the drive locked out; chuck key out; '
            "no gloves, loose sleeves, rings or loose hair near it; turn by the rim or the flange bolts, "
            "never with fingers in holes or spokes; tie back cable and stand.",
            'call out "turning"; by hand, drive locked out, no gloves',
        ),
        Caution(
            "power",
            "Under power only if you choose it: nobody within reach, guard closed, slowest speed, tip clear "
            "of holes and keyways, someone at the stop button; never set, touch or mark while it turns.",
            "under power: nobody within reach; touch only what stands still",
        ),
        Caution(
            "remount",
            "Drive locked out, and the part supported before the arbor nut is loosened: it drops when the "
            "nut comes off.",
            "support the part before the arbor nut is loosened; drive locked out",
        ),
        Caution(
            "cut",
            "Eye protection, guards on, work secured; brush for chips, never hands or air; not above the "
            "maker's speed. This plan is arithmetic: a qualified person decides whether the part may be "
            "machined at all. No cut on grinding wheels, cracked or burst-prone rotors, or parts marked "
            "against machining; no bending, heating or welding.",
            "eye protection, guards on, brush for chips; a qualified person decides",
        ),
        Caution(
            "assembly",
            "The maker's manual gives limits, bolts, thread hand, torque, preload and backlash; local rules "
            "may require licensed work. What is shown is a measurement record, not a certificate of fitness.",
            "the maker's manual gives bolts, torque and preload",
        ),
    )
}

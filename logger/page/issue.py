"""Who issues a page, when and under which number: what a person enters for it, and what follows from that."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from logger.inputs import AnalysedSweep

DIGITS = 8
"""So many of a checksum's digits number a page that no store has numbered."""


@dataclass(frozen=True, slots=True)
class Issue:
    """What is entered when a page is issued; empty = not recorded."""

    issued: date
    laboratory: str = ""
    address: str = ""
    customer: str = ""
    method: str = ""
    amends: str = ""
    """Number of the page that this one takes the place of."""
    reason: str = ""
    """Why it does."""
    number: str = ""
    """Given by the store; empty = by the newest recording's checksum."""


def number_of(sweeps: Sequence[AnalysedSweep]) -> str:
    """Return the number of a page that no store has numbered: the newest recording's checksum, shortened.

    Of sweeps without a file there is no checksum: it is then one of what was typed or practised.
    """
    newest = sweeps[-1].origin
    if newest.sha256 is not None:
        return newest.sha256[:DIGITS]
    return hashlib.sha256("\n".join(one.origin.file for one in sweeps).encode()).hexdigest()[:DIGITS]

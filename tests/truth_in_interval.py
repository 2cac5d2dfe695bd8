"""Whether an interval holds a truth, for tests and campaigns that draw both."""

from analysis.numerics import UncertainNumber


def off_deg(deg: float, middle_deg: float) -> float:
    """Return how far one place round the part lies past another, degrees, -180 to 180."""
    return (deg - middle_deg + 180.0) % 360.0 - 180.0


def holds(number: UncertainNumber, truth: float) -> bool:
    """Return whether the 95 % interval holds the truth."""
    low, high = number.interval()
    return low <= truth <= high


def holds_place(number: UncertainNumber, truth_deg: float) -> bool:
    """Return whether the 95 % interval of a place round the part holds the truth, whole turns apart or not."""
    return holds(number, number.value + off_deg(truth_deg, number.value))

"""The version of the numbers: another wherever the same bytes may give other digits."""

NUMERICS_VERSION = 3
"""Raised by one where a golden digit moves; results without one were made before it was counted."""

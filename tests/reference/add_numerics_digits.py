"""Add the digits of the newest version of the numbers to ``tests/promises/numerics_digits.csv``.

Run it by name from the project's folder after raising NUMERICS_VERSION: ``python tests/reference/add_numerics_digits.py``.
Lines that are there are never changed: a version that has lines already is refused.
"""

import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

import numerics_digits  # noqa: E402

from analysis.sweep import NUMERICS_VERSION  # noqa: E402

if numerics_digits.digits_of(NUMERICS_VERSION):
    sys.exit(f"version {NUMERICS_VERSION} has its digits: raise NUMERICS_VERSION by one first")
numerics_digits.add(NUMERICS_VERSION)

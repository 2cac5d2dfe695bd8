"""Digits that move have another version of the numbers: two rows of one version can be compared to the last digit."""

import numerics_digits
import pytest

from analysis.sweep import NUMERICS_VERSION

PRINTED = 1e-6
"""Relative: a change that no printed digit shows, as between two processors, is no change."""
NOTHING_MM = 1e-9


def test_no_digit_moves_without_another_version() -> None:
    frozen, now = numerics_digits.digits_of(NUMERICS_VERSION), numerics_digits.digits_now()
    moved = [
        f"{recording} {number}: {frozen.get((recording, number))} before, {now.get((recording, number))} now"
        for recording, number in dict.fromkeys((*frozen, *now))
        if now.get((recording, number))
        != pytest.approx(frozen.get((recording, number)), rel=PRINTED, abs=NOTHING_MM)
    ]
    assert not moved, (
        f"{len(moved)} digits are not those of version {NUMERICS_VERSION}: raise NUMERICS_VERSION in "
        "analysis/sweep/numerics_version.py by one and run python tests/reference/add_numerics_digits.py"
    )


def test_versions_are_counted_and_the_newest_is_in_force() -> None:
    versions = list(dict.fromkeys(int(row["version"]) for row in numerics_digits.rows()))
    assert versions == list(range(versions[0], NUMERICS_VERSION + 1))


def test_every_version_moved_a_digit() -> None:
    versions = list(dict.fromkeys(int(row["version"]) for row in numerics_digits.rows()))
    tables = [numerics_digits.digits_of(version) for version in versions]
    assert all(earlier != later for earlier, later in zip(tables, tables[1:], strict=False))

"""A stored recording analysed again: whether its number moved, and why."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from analysis.store import StoredSweep

NOT_COMPARED = ("file", "provenance")
"""Where the file lay and which program printed it: no part of what was found."""
SAME = "same bytes, same numerics, same result"
DIGITS = 1e-6
"""Relative change of a number up to which its digits alone moved."""
SHOWN = 6


@dataclass(frozen=True, slots=True)
class AnalysedAgain:
    """One recording, before and now."""

    sweep: StoredSweep
    """With the newest analysis before this one."""
    edition: int
    """Of the analysis that holds now: one more than before where it says something else."""
    is_mm: float | None
    is_state: str | None
    why: tuple[str, ...]

    @property
    def was_mm(self) -> float | None:
        """TIR before."""
        return tir_of(self.sweep.result)

    @property
    def flipped(self) -> bool:
        """Tell whether the decision is another one."""
        return self.sweep.state != self.is_state

    @property
    def moved(self) -> bool:
        """Tell whether anything is said in another way than before."""
        return self.edition != self.sweep.edition


def tir_of(result: Mapping[str, Any] | None) -> float | None:
    """Return the TIR of a result; None where it has none."""
    value = ((result or {}).get("pooled") or {}).get("tir_fit_mm")
    return None if value is None else float(value)


def why_same(before: StoredSweep, numerics: int) -> tuple[str, ...]:
    """Return what is said where a result made anew is the stored one."""
    if before.numerics == numerics:
        return (SAME,)
    return (f"same result: numerics {before.numerics or 'not counted'} to {numerics} moved nothing in it",)


def why_moved(
    before: StoredSweep, result: Mapping[str, Any], numerics: int, code_version: str
) -> tuple[str, ...]:
    """Return what differs between a stored result and one made anew, cause first; at least one line."""
    old = before.result or {}
    lines = []
    if before.result is None:
        lines.append("nothing was concluded of it before")
    if before.numerics != numerics:
        lines.append(f"numerics {before.numerics or 'not counted'} to {numerics}")
    if before.code_version != code_version:
        lines.append(f"program {before.code_version} to {code_version}")
    setup = _differing(old.get("setup") or {}, result.get("setup") or {})
    if before.result is not None and setup:
        lines.append(f"set-up read in another way: {_listed(setup)}")
    lines += _checks(old, result)
    was, now = tir_of(old), tir_of(result)
    if was is not None and now is not None and was != now:
        small = abs(now - was) <= DIGITS * max(abs(was), abs(now))
        lines.append(f"{'digits alone: ' if small else ''}TIR moved by {now - was:+.3g} mm")
    more = sorted(set(_keys(result)) - set(_keys(old)))
    if before.result is not None and more:
        lines.append(f"said now and not before: {_listed(more)}")
    if not lines:
        other = _differing(old, result)
        lines.append(f"what moved lies in {_listed(other)}")
    return tuple(lines)


def _checks(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[str]:
    was = {one["name"]: one["state"] for one in old.get("checks") or ()}
    now = {one["name"]: one["state"] for one in new.get("checks") or ()}
    return [
        f"check {name}: {was[name]} to {now[name]}" for name in was if name in now and was[name] != now[name]
    ]


def _keys(value: Mapping[str, Any], before: str = "") -> list[str]:
    found = []
    for key, one in value.items():
        if before or key not in (*NOT_COMPARED, "setup"):
            found.append(before + key)
            if isinstance(one, Mapping):
                found += _keys(one, f"{before}{key}.")
    return found


def _differing(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[str]:
    keys = dict.fromkeys((*old, *new))
    return [key for key in keys if key not in NOT_COMPARED and old.get(key) != new.get(key)]


def _listed(words: Sequence[str]) -> str:
    more = f" and {len(words) - SHOWN} more" if len(words) > SHOWN else ""
    return ", ".join(words[:SHOWN]) + more

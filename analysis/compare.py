"""Before and after: how much and which way it changed, and whether the two may be compared at all."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.combined import FirstKnown, first_of
from analysis.results import Check, SweepResult
from analysis.vectors import Vectors

BLOCKS, RESCALED, NOTED = "blocks", "rescaled", "noted"
ON_LATHE = ("on the lathe", "after cut", "half turn")


@dataclass(frozen=True)
class Difference:
    """One field of the set-up (or of the analysis) that differs."""

    field: str
    before: str | None
    after: str | None
    effect: str
    """``blocks``, ``rescaled`` or ``noted``."""


@dataclass(frozen=True)
class Comparison:
    """The change from before to after, in the terms of before."""

    differences: tuple[Difference, ...]
    change: Vectors | None
    """After less before; None where they are not comparable."""
    first: FirstKnown | None
    """TIR and direction of the change of order 1."""

    @property
    def comparable(self) -> bool:
        """True where nothing blocks."""
        return not any(one.effect == BLOCKS for one in self.differences)


def compare(before: SweepResult, after: SweepResult) -> Comparison:
    """Compare two sweeps of one part.

    Orders are compared in part angle, seen from the end of the first; a face at another radius is scaled to
    the first's (order 1 alone, as a plane). No change is given where something blocks.
    """
    differences = tuple(differences_of(before, after))
    if any(one.effect == BLOCKS for one in differences):
        return Comparison(differences, None, None)
    first, second = in_part_angle(before), in_part_angle(after)
    if before.setup.declared_end != after.setup.declared_end:
        second = second.mirrored()
    r_before, r_after = before.setup.track_radius_mm, after.setup.track_radius_mm
    if before.setup.surface == "face" and r_before and r_after and abs(r_after / r_before - 1.0) > 1e-9:
        second, first = second.up_to(1).scaled(r_before / r_after), first.up_to(1)
    change = second - first
    return Comparison(differences, change, first_of(change))


def in_part_angle(result: SweepResult, index_deg: float | None = None) -> Vectors:
    """Return the orders of a sweep in part angle; ``index_deg`` None takes the set-up's own (0 without)."""
    assert result.vectors is not None
    if result.setup.mark_on == "part":
        return result.vectors
    alpha = result.setup.index_angle_deg if index_deg is None else index_deg
    return result.vectors.turned(-math.radians(alpha or 0.0))


def differences_of(before: SweepResult, after: SweepResult) -> list[Difference]:
    """Return what of quantity, surface, place, gauge and state differs, with what it does to the claim."""
    a, b = before.setup, after.setup
    found: list[Difference] = []

    def look(field: str, one: object, other: object, effect: str) -> None:
        left, right = _text(one), _text(other)
        if left != right:
            found.append(Difference(field, left, right, effect))

    look("part", a.text.get("part"), b.text.get("part"), BLOCKS)
    look("surface", a.surface, b.surface, BLOCKS)
    look("quantity", _quantity(before), _quantity(after), BLOCKS)
    look("axis", _axis(before), _axis(after), BLOCKS)
    radius = BLOCKS if (a.track_radius_mm is None) != (b.track_radius_mm is None) else RESCALED
    if _differ(a.track_radius_mm, b.track_radius_mm):
        effect = radius if a.surface == "face" else NOTED
        look("track_radius", a.text.get("track_radius"), b.text.get("track_radius"), effect)
    look("declared_end", a.declared_end, b.declared_end, RESCALED)
    if a.surface != "face":
        look("track_plane", a.text.get("track_plane"), b.text.get("track_plane"), BLOCKS)
    look("preload", a.text.get("preload"), b.text.get("preload"), BLOCKS)
    look("torque", a.text.get("torque"), b.text.get("torque"), NOTED)
    look("highest_order", before.pooled.highest_order, after.pooled.highest_order, RESCALED)
    look("gauge_angle", f"{a.gauge_angle_deg:g}", f"{b.gauge_angle_deg:g}", RESCALED)
    look("gauge_type", a.gauge_type, b.gauge_type, NOTED)
    look("gauge_id", a.text.get("gauge_id"), b.text.get("gauge_id"), NOTED)
    look("turning", a.turning, b.turning, NOTED)
    look("operator", a.text.get("operator"), b.text.get("operator"), NOTED)
    for name, result in (("before", before), ("after", after)):
        if (a if name == "before" else b).mark_on == "arbor" and result.setup.index_angle_deg is None:
            found.append(Difference("index_angle", *_only(name, "not given, and the arbor's mark"), BLOCKS))
        refused = [check.name for check in result.checks if check.state == "refused"]
        if refused:
            found.append(Difference("checks", *_only(name, "refused: " + ", ".join(refused)), BLOCKS))
    return found


def comparability_check(differences: Sequence[Difference]) -> Check:
    """Return the check ``comparability`` of a before and an after."""
    blocking = [one.field for one in differences if one.effect == BLOCKS]
    if blocking:
        return Check(
            "comparability",
            "refused",
            f"before and after are not the same measurement: {', '.join(blocking)} differ",
            "take the second sweep as the first was taken",
        )
    scaled = [one.field for one in differences if one.effect == RESCALED]
    if scaled:
        return Check("comparability", "doubtful", f"brought to the same terms: {', '.join(scaled)}", "")
    return Check("comparability", "clear", "before and after were measured the same way")


def same_part(results: Sequence[SweepResult]) -> list[str]:
    """Return the different names of the part in these sweeps; one or none where it is the same."""
    return sorted({result.setup.part for result in results if result.setup.part})


def _only(name: str, text: str) -> tuple[str | None, str | None]:
    return (text, None) if name == "before" else (None, text)


def _text(value: object) -> str | None:
    return None if value in (None, "") else str(value)


def _quantity(result: SweepResult) -> str:
    limit = result.setup.limit
    return limit.quantity if limit else result.setup.text.get("limit_quantity", "tir")


def _axis(result: SweepResult) -> str:
    return "lathe" if result.setup.stage in ON_LATHE else "own bearings"


def _differ(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is not other
    return abs(one - other) > 1e-9 * max(abs(one), abs(other))

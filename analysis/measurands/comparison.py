"""Before and after: how much and which way it changed, and whether the two may be compared at all."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from analysis.numerics import OrderVectors
from analysis.results import Check, CheckState, SweepResult
from analysis.separation import FirstOrderEstimate, first_of
from analysis.setup import MarkSide, Setup, Surface

BLOCKS, RESCALED, NOTED = "blocks", "rescaled", "noted"


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
    change: OrderVectors | None
    """After less before; None where they are not comparable."""
    first: FirstOrderEstimate | None
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
    first, second = in_terms_of_first(before.setup, after.setup, in_part_angle(before), in_part_angle(after))
    change = second - first
    return Comparison(differences, change, first_of(change))


def in_terms_of_first(
    before: Setup, after: Setup, first: OrderVectors, second: OrderVectors
) -> tuple[OrderVectors, OrderVectors]:
    """Return both, in part angle, as seen from the end of the first and at its radius.

    A face at another radius keeps order 1 alone in both, scaled as a plane.
    """
    if before.declared_end != after.declared_end:
        second = second.mirrored()
    scale = radius_scale(before, after)
    if scale is not None:
        first, second = first.up_to(1), second.up_to(1).scaled(scale)
    return first, second


def radius_scale(before: Setup, after: Setup) -> float | None:
    """Return what the second has to be multiplied by to stand at the first's radius; None where nothing."""
    r_before, r_after = before.track_radius_mm, after.track_radius_mm
    if before.surface == Surface.FACE and r_before and r_after and abs(r_after / r_before - 1.0) > 1e-9:
        return r_before / r_after
    return None


def in_part_angle(result: SweepResult, index_deg: float | None = None) -> OrderVectors:
    """Return the orders of a sweep in part angle; ``index_deg`` None takes the set-up's own (0 without)."""
    assert result.vectors is not None
    return turned_to_part(result.vectors, result.setup, index_deg)


def turned_to_part(vectors: OrderVectors, setup: Setup, index_deg: float | None = None) -> OrderVectors:
    """Return vectors past the mark of a set-up as vectors past the part's own mark."""
    if setup.mark_on == MarkSide.PART:
        return vectors
    alpha = setup.index_angle_deg if index_deg is None else index_deg
    return vectors.turned(-math.radians(alpha or 0.0))


def differences_of(before: SweepResult, after: SweepResult) -> list[Difference]:
    """Return what of quantity, surface, place, gauge and state differs, with what it does to the claim."""
    found = setup_differences(
        before.setup, after.setup, (before.pooled.highest_order, after.pooled.highest_order)
    )
    for name, result in (("before", before), ("after", after)):
        if result.angle_source == "steady":
            found.append(Difference("mark", *_only(name, "none: a steady spin"), BLOCKS))
        refused = [check.name for check in result.checks if check.state is CheckState.REFUSED]
        if refused:
            found.append(Difference("checks", *_only(name, "refused: " + ", ".join(refused)), BLOCKS))
    return found


def setup_differences(a: Setup, b: Setup, highest: tuple[int, int]) -> list[Difference]:
    """Return what two set-ups, and the highest orders of their fits, do to a comparison."""
    found: list[Difference] = []

    def look(field: str, one: object, other: object, effect: str) -> None:
        left, right = _text(one), _text(other)
        if left != right:
            found.append(Difference(field, left, right, effect))

    look("part", a.text.get("part"), b.text.get("part"), BLOCKS)
    look("surface", a.surface, b.surface, BLOCKS)
    look("quantity", _quantity(a), _quantity(b), BLOCKS)
    look("axis", _axis(a), _axis(b), BLOCKS)
    radius = BLOCKS if (a.track_radius_mm is None) != (b.track_radius_mm is None) else RESCALED
    if _differ(a.track_radius_mm, b.track_radius_mm):
        effect = radius if a.surface == Surface.FACE else NOTED
        look("track_radius", a.text.get("track_radius"), b.text.get("track_radius"), effect)
    look("declared_end", a.declared_end, b.declared_end, RESCALED)
    if a.surface != Surface.FACE:
        look("track_plane", a.text.get("track_plane"), b.text.get("track_plane"), BLOCKS)
    look("preload", a.text.get("preload"), b.text.get("preload"), BLOCKS)
    look("torque", a.text.get("torque"), b.text.get("torque"), NOTED)
    look("highest_order", *highest, RESCALED)
    look("gauge_angle", f"{a.gauge_angle_deg:g}", f"{b.gauge_angle_deg:g}", RESCALED)
    look("gauge_type", a.gauge_type, b.gauge_type, NOTED)
    look("gauge_id", a.text.get("gauge_id"), b.text.get("gauge_id"), NOTED)
    look("turning", a.turning, b.turning, NOTED)
    look("operator", a.text.get("operator"), b.text.get("operator"), NOTED)
    for name, setup in (("before", a), ("after", b)):
        if setup.mark_on == MarkSide.ARBOR and setup.index_angle_deg is None:
            found.append(Difference("index_angle", *_only(name, "not given, and the arbor's mark"), BLOCKS))
    return found


def comparability_check(differences: Sequence[Difference]) -> Check:
    """Return the check ``comparability`` of a before and an after."""
    blocking = [one.field for one in differences if one.effect == BLOCKS]
    if blocking:
        return Check(
            "comparability",
            CheckState.REFUSED,
            f"before and after are not the same measurement: {', '.join(blocking)} differ",
            "take the second sweep as the first was taken",
        )
    scaled = [one.field for one in differences if one.effect == RESCALED]
    if scaled:
        return Check(
            "comparability", CheckState.DOUBTFUL, f"brought to the same terms: {', '.join(scaled)}", ""
        )
    return Check("comparability", CheckState.CLEAR, "before and after were measured the same way")


def _only(name: str, text: str) -> tuple[str | None, str | None]:
    return (text, None) if name == "before" else (None, text)


def _text(value: object) -> str | None:
    return None if value in (None, "") else str(value)


def _quantity(setup: Setup) -> str:
    return setup.limit.quantity if setup.limit else setup.text.get("limit_quantity", "tir")


def _axis(setup: Setup) -> str:
    return "lathe" if setup.stage.on_lathe else "own bearings"


def _differ(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is not other
    return abs(one - other) > 1e-9 * max(abs(one), abs(other))

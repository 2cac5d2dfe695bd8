"""Before and after: how much and which way it changed, and whether the two may be compared at all."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from analysis.numerics import OrderVectors
from analysis.results import Check, CheckState, SweepResult
from analysis.separation import first_of
from analysis.setup import FIELDS, CompareEffect, MarkSide, Setup, SetupField, Surface
from analysis.uncertainty import FirstOrderEstimate


@dataclass(frozen=True)
class Difference:
    """One field of the set-up (or of the analysis) that differs."""

    field: str
    before: str | None
    after: str | None
    effect: CompareEffect


@dataclass(frozen=True)
class Comparison:
    """The change from before to after, in the terms of before."""

    differences: tuple[Difference, ...]
    change: OrderVectors | None
    """After less before; None where they are not comparable."""
    first: FirstOrderEstimate | None
    """TIR and direction of the change of order 1."""

    def __repr__(self) -> str:
        """Return the change on one line."""
        differ = f"{len(self.differences)} differences in how they were measured"
        return f"Comparison({'not comparable' if self.change is None else repr(self.change)}, {differ})"

    @property
    def comparable(self) -> bool:
        """True where nothing blocks."""
        return not any(one.effect == CompareEffect.BLOCKS for one in self.differences)


@dataclass(frozen=True)
class ComparedSweep:
    """What a comparison looks at, of a sweep that was analysed just now or one that a store tells of."""

    setup: Setup
    vectors: OrderVectors
    """As read, from the sweep's own zero."""
    highest_order: int
    has_mark: bool
    """Whether its angles count from a mark."""
    refused: tuple[str, ...] = ()
    """Names of refused checks."""

    @classmethod
    def of(cls, result: SweepResult) -> "ComparedSweep":
        """Return it of a result."""
        assert result.vectors is not None
        return cls(
            result.setup,
            result.vectors,
            result.pooled.highest_order,
            has_mark=result.angle_source.has_mark,
            refused=tuple(check.name for check in result.checks if check.state is CheckState.REFUSED),
        )


def compare(before: SweepResult | ComparedSweep, after: SweepResult | ComparedSweep) -> Comparison:
    """Compare two sweeps of one part.

    Orders are compared in part angle, seen from the end of the first; a face at another radius is scaled to
    the first's (order 1 alone, as a plane). No change is given where something blocks.
    """
    a, b = (one if isinstance(one, ComparedSweep) else ComparedSweep.of(one) for one in (before, after))
    differences = tuple(differences_of(a, b))
    if any(one.effect == CompareEffect.BLOCKS for one in differences):
        return Comparison(differences, None, None)
    in_part_angle = (turned_to_part(one.vectors, one.setup) for one in (a, b))
    first, second = in_terms_of_first(a.setup, b.setup, *in_part_angle)
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


def turned_to_part(vectors: OrderVectors, setup: Setup, index_deg: float | None = None) -> OrderVectors:
    """Return vectors past the mark of a set-up as vectors past the part's own mark."""
    if setup.mark_on == MarkSide.PART:
        return vectors
    alpha = setup.index_angle_deg if index_deg is None else index_deg
    return vectors.turned(-math.radians(alpha or 0.0))


def differences_of(before: ComparedSweep, after: ComparedSweep) -> list[Difference]:
    """Return what of quantity, surface, place, gauge and state differs, with what it does to the claim."""
    found = setup_differences(before.setup, after.setup, (before.highest_order, after.highest_order))
    for name, one in (("before", before), ("after", after)):
        if not one.has_mark:
            found.append(Difference("mark", *_only(name, "none: a steady spin"), CompareEffect.BLOCKS))
        if one.refused:
            refused = f"refused: {', '.join(one.refused)}"
            found.append(Difference("checks", *_only(name, refused), CompareEffect.BLOCKS))
    return found


def setup_differences(a: Setup, b: Setup, highest: tuple[int, int]) -> list[Difference]:
    """Return what two set-ups, and the highest orders of their fits, do to a comparison."""
    found: list[Difference] = []
    for field in FIELDS:
        effect = _effect(field, a, b)
        name, value = _NAMED_OTHERWISE.get(field.key, (field.key, partial(_value, field)))
        before, after = _text(value(a)), _text(value(b))
        if effect is not None and before != after:
            found.append(Difference(name, before, after, effect))
    if highest[0] != highest[1]:
        before, after = (str(order) for order in highest)
        found.append(Difference("highest_order", before, after, CompareEffect.RESCALED))
    for name, setup in (("before", a), ("after", b)):
        if setup.mark_on == MarkSide.ARBOR and setup.index_angle_deg is None:
            only = _only(name, "not given, and the arbor's mark")
            found.append(Difference("index_angle", *only, CompareEffect.BLOCKS))
    return found


def comparability_check(differences: Sequence[Difference]) -> Check:
    """Return the check ``comparability`` of a before and an after."""
    blocking = [one.field for one in differences if one.effect == CompareEffect.BLOCKS]
    if blocking:
        return Check(
            "comparability",
            CheckState.REFUSED,
            f"before and after are not the same measurement: {', '.join(blocking)} differ",
            "take the second sweep as the first was taken",
        )
    scaled = [one.field for one in differences if one.effect == CompareEffect.RESCALED]
    if scaled:
        return Check(
            "comparability", CheckState.DOUBTFUL, f"brought to the same terms: {', '.join(scaled)}", ""
        )
    return Check("comparability", CheckState.CLEAR, "before and after were measured the same way")


def _only(name: str, text: str) -> tuple[str | None, str | None]:
    return (text, None) if name == "before" else (None, text)


def _text(value: object) -> str | None:
    return None if value in (None, "") else str(value)


def _effect(field: SetupField, a: Setup, b: Setup) -> CompareEffect | None:
    """Return what a difference in a field does here: radius and plane mean something on one surface alone."""
    if field.key == "track_plane" and a.surface == Surface.FACE:
        return None
    if field.key != "track_radius":
        return field.compare
    if not _differ(a.track_radius_mm, b.track_radius_mm):
        return None
    if a.surface != Surface.FACE:
        return CompareEffect.NOTED
    one_is_missing = a.track_radius_mm is None or b.track_radius_mm is None
    return CompareEffect.BLOCKS if one_is_missing else field.compare


def _value(field: SetupField, setup: Setup) -> object:
    return getattr(setup, field.attribute) if field.choices else setup.text.get(field.key)


def _quantity(setup: Setup) -> str:
    return setup.limit.quantity if setup.limit else setup.text.get("limit_quantity", "tir")


def _axis(setup: Setup) -> str:
    return "lathe" if setup.stage.on_lathe else "own bearings"


def _differ(one: float | None, other: float | None) -> bool:
    if one is None or other is None:
        return one is not other
    return abs(one - other) > 1e-9 * max(abs(one), abs(other))


_NAMED_OTHERWISE: Mapping[str, tuple[str, Callable[[Setup], object]]] = {
    "stage": ("axis", _axis),
    "limit_quantity": ("quantity", _quantity),
    "gauge_angle": ("gauge_angle", lambda setup: f"{setup.gauge_angle_deg:g}"),
}
"""Fields of which not the words are compared but what they mean, and the name that has in the list."""

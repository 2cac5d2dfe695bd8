"""Steep lands: raised or low stretches 18 to 42 degrees wide that whole orders half follow.

Orders up to the fifteenth climb a land of such a width and swing beside it, so that its two sides look like
two dents (or ridges) beside a form that has no land. Beside one column that is the land itself nothing is
left of them; of true dents their outer sides are left. Knows nothing of what a feature may be called.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from analysis.capture import Bools, Floats
from analysis.diagnosis.local_features import STANDS_OUT, Feature, Form, fit_form, form_columns, inside

NARROWEST_DEG = 18.0
WIDEST_DEG = 42.0
_MOST = 3
_BINS = 720
_SIDES_DEG = (1.0, 2.5)
"""Over so many degrees a side climbs."""
_EDGE_DEG = 1.5
"""So near the middle of a side, beyond half of it, nothing is held against the land: sides have any shape."""
_AROUND_DEG = 30.0
_OFF_DENT = np.arange(-5.0, 5.5, 0.5)
_LEFT_IN_NOISES = 1.4
_LEFT_OF_HEIGHT = 0.03
"""Beside a land there may be left, root mean square of the stretch about it, so many noises or steps and this
share of its height (own trial)."""


@dataclass(frozen=True)
class Land:
    """A stretch between two steep sides."""

    from_deg: float
    """Middle of the side it begins at."""
    width_deg: float
    side_deg: float
    height_mm: float

    def column(self, deg: Floats) -> Floats:
        """Return 1 on the land, 0 beside it, and straight lines on its sides, at angles of any turn."""
        within_deg = self.width_deg / 2 - self.from_middle(deg)
        return np.asarray(np.clip(within_deg / self.side_deg + 0.5, 0.0, 1.0))

    def from_middle(self, deg: Floats) -> Floats:
        """Return how far angles lie from the middle of the land, degrees, 0 to 180."""
        return np.asarray(np.abs((deg - self.from_deg - self.width_deg / 2 + 180.0) % 360.0 - 180.0))


def with_lands(
    angle_rad: Floats,
    level_mm: Floats,
    turns: Sequence[Bools],
    features: list[Feature],
    form: Form,
    *,
    resolution_mm: float,
    orders: int,
    lobes: Sequence[int] = (),
) -> tuple[list[Feature], Form]:
    """Return the features with those that are the sides of a land put in one, and the form beside them.

    Parameters as ``find_features`` takes and gives them; ``orders`` of the form. The sides of a land have to
    be seen on more than half of the turns.
    """
    deg = np.degrees(np.mod(angle_rad, 2 * math.pi))
    lands: list[Feature] = []
    for _ in range(_MOST):
        land = _land(angle_rad, level_mm, turns, features, form, resolution_mm, orders, lobes)
        if land is None:
            break
        near = land.from_middle(deg) <= land.width_deg / 2 + _AROUND_DEG
        others = [one for one in features if not near[one.core].all()]
        sides = np.abs(land.from_middle(deg) - land.width_deg / 2) <= land.side_deg / 2 + _EDGE_DEG
        level = level_mm - land.height_mm * land.column(deg)
        columns = form_columns(angle_rad, orders, len(turns) == 1, lobes)
        form = fit_form(
            columns,
            level,
            ~inside([*others, *lands], len(deg)) & ~sides,
            resolution_mm,
            creeping=len(turns) == 1,
        )
        on, core = land.from_middle(deg) <= land.width_deg / 2 + land.side_deg, land.column(deg) > 0.5
        middle = (land.from_deg + land.width_deg / 2) % 360.0
        features = others
        for number, mine in enumerate(turns):
            here = np.flatnonzero(core & mine)
            if len(here):
                height = float(np.median(level_mm[here] - form.curve_mm[here]))
                where = np.flatnonzero((on | sides) & mine & (land.from_middle(deg) < 90.0))
                lands.append(Feature(number, middle, land.width_deg, height, where, here))
        # What is left to be looked at is the track without this land: it is no side of another one.
        level_mm = level
    return [*features, *lands], form


def _land(
    angle_rad: Floats,
    level_mm: Floats,
    turns: Sequence[Bools],
    features: Sequence[Feature],
    form: Form,
    resolution_mm: float,
    orders: int,
    lobes: Sequence[int],
) -> Land | None:
    """Return the land whose sides most of all are taken for features, None where there is none."""
    best: Land | None = None
    deg = np.degrees(np.mod(angle_rad, 2 * math.pi))
    cell = np.minimum((deg * (_BINS / 360.0)).astype(np.int64), _BINS - 1)
    for side in _sides(features, len(turns)):
        reach = np.abs((deg - side.deg + 180.0) % 360.0 - 180.0) <= WIDEST_DEG + side.width_deg + _AROUND_DEG
        far = [one for one in features if not reach[one.core].any()]
        used = ~inside(far, len(deg))
        number = np.bincount(cell[used], minlength=_BINS)
        seen = number > 0
        place = np.asarray((np.flatnonzero(seen) + 0.5) * (360.0 / _BINS), np.float64)
        root = np.sqrt(number[seen].astype(np.float64))
        creep = form.creep_mm[used]
        mean = np.bincount(cell[used], level_mm[used] - creep, minlength=_BINS)[seen] / number[seen]
        columns = form_columns(np.radians(place), orders, False, lobes)
        q = np.linalg.qr(columns * root[:, None])[0]
        left = root * mean - q @ (q.T @ (root * mean))
        found = _fitting_best(place, root, q, left, side)
        if found is None or found.height_mm * side.height_mm >= 0.0:
            continue
        least = max(STANDS_OUT * form.scatter_mm, 4.0 * resolution_mm)
        column = root * found.column(place)
        beside = (left - found.height_mm * (column - q @ (q.T @ column))) / root
        about = (found.from_middle(place) <= found.width_deg / 2 + _AROUND_DEG) & (
            np.abs(found.from_middle(place) - found.width_deg / 2) > found.side_deg / 2 + _EDGE_DEG
        )
        noise = math.hypot(form.scatter_mm, resolution_mm / math.sqrt(12.0)) / float(np.median(root))
        most = math.hypot(_LEFT_IN_NOISES * noise, _LEFT_OF_HEIGHT * found.height_mm)
        fits = about.any() and float(np.sqrt(np.mean(beside[about] ** 2))) < most
        if (
            abs(found.height_mm) > least
            and fits
            and (best is None or abs(found.height_mm) > abs(best.height_mm))
        ):
            best = found
    return best


def _sides(features: Sequence[Feature], turns: int) -> list[Feature]:
    """Return one of each place at which features stand on more than half of the turns."""
    places: list[list[Feature]] = []
    for one in features:
        for place in places:
            apart = abs((one.deg - place[0].deg + 180.0) % 360.0 - 180.0)
            if apart < 5.0 and one.height_mm * place[0].height_mm > 0.0:
                place.append(one)
                break
        else:
            places.append([one])
    return [place[0] for place in places if 2 * len({one.turn for one in place}) > turns]


def _fitting_best(place: Floats, root: Floats, q: Floats, left: Floats, side: Feature) -> Land | None:
    """Return the land beside a side that takes most squares out of what the orders leave."""
    tried = [
        (start % 360.0, width, slope)
        for width in np.arange(NARROWEST_DEG, WIDEST_DEG + 0.5)
        for off in _OFF_DENT
        for start in (side.deg + side.width_deg / 2 + off, side.deg - side.width_deg / 2 + off - width)
        for slope in _SIDES_DEG
    ]
    columns = root * np.array([Land(*each, 1.0).column(place) for each in tried])
    beside = columns - (columns @ q) @ q.T
    square, right = np.sum(beside**2, axis=1), beside @ left
    gained = np.where(square > 1e-9 * np.sum(columns**2, axis=1), right**2 / np.maximum(square, 1e-300), 0.0)
    at = int(np.argmax(gained))
    if gained[at] <= 0.0:
        return None
    start, width, slope = tried[at]
    return Land(float(start), float(width), float(slope), float(right[at] / square[at]))

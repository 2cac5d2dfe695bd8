"""More of the wind-pump job, in the shop: the arbor alone, more mountings, a second track, between passes.

Invented numbers; the owners are those of ``wind_pump``.
"""

from dataclasses import replace

from logger.practice.bench.motion import Lathe, PushPull
from logger.practice.bench.orders import Orders, runout
from logger.practice.bench.plant import Plant
from logger.practice.bench.scenario import Scenario
from logger.practice.bench.stand import Stand
from logger.practice.stories.wind_pump import END_FLOAT, ON_LATHE, PART, SEAT, SPINDLE, lathe_setup

DIRT = (runout(0.006, 200.0), runout(0.005, 310.0))
"""What two more mountings with a clean cone still have under them."""
INNER_RADIUS_MM, OUTER_RADIUS_MM = 70.0, 110.0
INNER_HEIGHT_MM = -0.020
"""Of the inner track against the outer: the face is a little hollow."""
FIRST_PASS_MM = 0.080
"""How deep the first pass went below the first touch."""
SHIMMED_FLOAT_MM = 0.010
"""End float that is left once the first was found and taken out."""
_STEP_S = 600


def _at_inner(orders: Orders) -> Orders:
    """Return a plane at the inner track; form stays as it is."""
    share = INNER_RADIUS_MM / OUTER_RADIUS_MM
    return Orders(tuple((n, z * share if n == 1 else z) for n, z in orders.terms))


def _sweep(name: str, words: str, plant: Plant, stand: Stand | None = None, **other: str) -> Scenario:
    setup = lathe_setup(plant, "on the lathe") | other
    return Scenario(
        f"wind-pump-shop/{name}",
        words,
        plant,
        {key: value for key, value in setup.items() if value},
        Lathe(),
        stand=stand or Stand(),
        turns=3,
    )


_STORY = (
    _sweep(
        "arbor",
        "the arbor alone, before the part is mounted: what spindle and arbor bring along",
        Plant(spindle=SPINDLE, on_lathe=True),
        part="",
        holes="",
        limit="",
        index_angle="",
        mark_on="arbor",
    ),
    _sweep("mount-3", "mounted once more, the cone clean", replace(ON_LATHE, dirt=DIRT[0])),
    _sweep("mount-4", "and once more", replace(ON_LATHE, dirt=DIRT[1])),
    _sweep(
        "mount-2-inner",
        "the second mounting at an inner track of radius 70 mm, the indicator's zero not touched",
        Plant(_at_inner(PART), _at_inner(SEAT), _at_inner(SPINDLE), on_lathe=True),
        Stand(offset_mm=INNER_HEIGHT_MM),
        track_radius=f"{INNER_RADIUS_MM:g} mm",
    ),
    _sweep(
        "between-passes",
        "the second mounting after a first pass of 0.080 mm: part of the face is not touched yet",
        replace(ON_LATHE, cut_to_mm=ON_LATHE.extremes.high_mm - FIRST_PASS_MM),
    ),
    replace(
        END_FLOAT,
        name="wind-pump-shop/end-float-shimmed",
        words="the shaft pushed and pulled once shims were set: 0.010 mm of end float",
        motion=PushPull(SHIMMED_FLOAT_MM),
        float_mm=SHIMMED_FLOAT_MM,
        setup={**END_FLOAT.setup, "preload": "shims set"},
    ),
)

STORY = tuple(replace(sweep, begins_s=(k + 10) * _STEP_S) for k, sweep in enumerate(_STORY))
"""Every sweep, in the order they are taken."""

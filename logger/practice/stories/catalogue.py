"""The scenarios by name."""

from analysis.errors import BadInput
from logger.practice.bench.scenario import Scenario
from logger.practice.stories import (
    bicycle_disc,
    moved_tips,
    potters_wheel,
    rig_check as check_rig,
    telescope_worm,
    wind_pump,
    wind_pump_shop,
)

_JOBS = (
    *(wind_pump, bicycle_disc, potters_wheel, telescope_worm),
    *(wind_pump_shop, moved_tips, check_rig),
)

SCENARIOS: dict[str, Scenario] = {each.name: each for job in _JOBS for each in job.STORY}
"""Every scenario, in the order of the stories."""


def names() -> list[str]:
    """Return every scenario's name, in the order of the stories."""
    return list(SCENARIOS)


def scenario(name: str) -> Scenario:
    """Return the scenario of this name; a job's name alone is its as-found, else its first.

    Raises BadInput where there is none.
    """
    if name in SCENARIOS:
        return SCENARIOS[name]
    if f"{name}/as-found" in SCENARIOS:
        return SCENARIOS[f"{name}/as-found"]
    for full, found in SCENARIOS.items():
        if full.startswith(f"{name}/"):
            return found
    raise BadInput(
        f"no practice scenario {name!r}: expected one of {', '.join(names())}; list them with "
        "`fullturn practice --list`"
    )

"""Another part of the same kind: what a batch of parts has of its own, each another runout."""

import random
from dataclasses import replace

from logger.practice.bench.orders import Orders
from logger.practice.bench.scenario import Scenario

SPREAD = 0.3
"""Standard deviation of the logarithm by which the runout of parts differs (own choice, no source)."""


def another_part(scenario: Scenario, drawn_from: str) -> Scenario:
    """Return the scenario with another part of its kind; the same words always draw the same part.

    Every order of the part is larger or smaller by one share, and high somewhere else.
    """
    draw = random.Random(f"{scenario.name}:part:{drawn_from}")
    share, turned = draw.lognormvariate(0.0, SPREAD), draw.uniform(0.0, 360.0)
    part = scenario.plant.part.turned(turned)
    grown = Orders(tuple((n, z * share) for n, z in part.terms))
    return replace(scenario, plant=replace(scenario.plant, part=grown))

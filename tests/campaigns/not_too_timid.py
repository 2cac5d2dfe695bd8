"""How many clean sweeps are decided, and how many have every check clear, as a table.

Run from the top folder: python -m tests.campaigns.not_too_timid [--sweeps 400] [--each]. Invented
data: parts of a falling row of orders, 2, 3 and 5 turns planned beforehand, gauges of 0.01 and 0.001 mm, by
hand and driven; each sweep's part has its TIR at 0.5, 0.7 and 0.85 of a limit of 0.05 mm in turn. At least
99, 95 and 80 % are to be decided, and 90 % to have every check clear. Seeds were fixed before the first run.
The gauge's delay is declared, as learn-lag tells it once: without it (--delay "") a spindle that turns evenly
leaves the check of the lag doubtful from some 5.6 turns a minute on.
"""

import argparse
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from analysis.sweep.pipeline import analyse
from tests.campaigns import helpers_path  # noqa: F401

# isort: split
from simulated_motion import Bench, Part, draw_part, hand, made_capture, spindle

LIMIT_MM = 0.05
SHARES = (0.5, 0.7, 0.85)
ASKED = {0.5: 0.99, 0.7: 0.95, 0.85: 0.80}
CLEAR = 0.90
TURNS = (2, 3, 5)
STEPS_MM = (0.01, 0.001)
HOW = ("hand", "driven")
FIRST_SEED = 20_260_000


NOISE_MM = (0.0003, 0.0010)
"""Of a reading before it is rounded, drawn between these whatever the gauge: a stand that is left alone."""


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the table: a line for each share, gauge and motion, then the sums."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sweeps", type=int, default=400, help="sweeps at each share of the limit")
    parser.add_argument(
        "--each", action="store_true", help="a line for every sweep that is not decided or clear"
    )
    parser.add_argument("--delay", default="10 +- 10 ms", help="the gauge's declared delay; '' for none")
    given = parser.parse_args(arguments)
    conditions = [(turns, step, how) for step in STEPS_MM for how in HOW for turns in TURNS]
    decided: Counter[tuple[float, float, str, int]] = Counter()
    clear: Counter[tuple[float, float, str, int]] = Counter()
    sweeps: Counter[tuple[float, float, str, int]] = Counter()
    wrong = 0
    why: Counter[str] = Counter()
    guards: dict[tuple[float, float, str, int], list[float]] = {}
    for number in range(given.sweeps):
        turns, step_mm, how = conditions[number % len(conditions)]
        for share in SHARES:
            rng = np.random.default_rng([FIRST_SEED, number])
            part = draw_part(rng, 0.02)
            part = Part(part.z_mm * (share * LIMIT_MM / part.truth.tir_mm))
            rpm = rng.uniform(4.0, 10.0)
            turned = (hand if how == "hand" else spindle)(rng, turns + 0.2, rpm)
            # From the mark on, so that as many turns are round as were planned: a recorder goes on until they are.
            turned = replace(turned, angle_rad=turned.angle_rad - turned.angle_rad[0])
            setup = {"limit": f"{LIMIT_MM} mm", "turns_planned": str(turns)}
            if given.delay:
                setup["gauge_delay"] = given.delay
            bench = Bench(noise_mm=rng.uniform(*NOISE_MM), step_mm=step_mm, setup=setup)
            result = analyse(made_capture(rng, turned, part, bench))
            decision = result.decision
            assert decision is not None
            at = (share, step_mm, how, turns)
            state = str(decision.state)
            sweeps[at] += 1
            decided[at] += state != "undecided"
            wrong += state == "over"
            guards.setdefault(at, []).append(decision.guard_mm)
            unclear = [check for check in result.checks if check.state != "clear"]
            clear[at] += not unclear
            why.update(f"{check.name} {check.state}" for check in unclear)
            if given.each and (state == "undecided" or unclear):
                spoken = "; ".join(f"{check.name} {check.state}: {check.text}" for check in unclear)
                print(f"{number} {at} {state}: {decision.why if state == 'undecided' else ''} | {spoken}")
    print("share  step mm  motion  turns  decided        clear          guard um (median)")
    for at in sorted(sweeps):
        share, step_mm, how, turns = at
        n = sweeps[at]
        print(
            f"{share:4.2f}   {step_mm:5.3f}    {how:6s}  {turns}      {decided[at]:3d} of {n:3d}     "
            f"{clear[at]:3d} of {n:3d}     {1e3 * float(np.median(guards[at])):5.2f}"
        )
    for share in SHARES:
        mine = [at for at in sweeps if at[0] == share]
        n = sum(sweeps[at] for at in mine)
        done = sum(decided[at] for at in mine) / n
        print(
            f"at {share:4.2f} of the limit: {100 * done:.1f} % of {n} decided, asked {100 * ASKED[share]:.0f} %"
        )
    n = sum(sweeps.values())
    print(f"every check clear: {100 * sum(clear.values()) / n:.1f} % of {n}, asked {100 * CLEAR:.0f} %")
    print(
        f"wrongly over: {wrong}; not clear: {', '.join(f'{name} {k}' for name, k in why.most_common()) or 'none'}"
    )


if __name__ == "__main__":
    main()

"""Every fault of the virtual bench against every check: in which share of the sweeps which check spoke.

Run from the top folder: python -m tests.campaigns.fault_matrix [--seeds 20] [--from-seed 100]
[--turns 2 3 5] [--scenario wind-pump/as-found] [fault ...]. A line a fault and number of turns: the share in
which its own check was not clear and none but it refused (the diagonal), which checks refused and which doubted,
each with its number of sweeps. `nothing` is the bench without a fault, `wrap` is none: there all checks are to be
clear. Some minutes on one core; ends with status 1 where a line is under 95 %.
"""

import argparse
import sys
from collections import Counter
from collections.abc import Sequence

from analysis.results import SweepResult
from analysis.sweep.pipeline import analyse
from logger.acquisition import Worker, WorkerEnded
from logger.practice import FAULTS, PracticeSource
from logger.session import Session
from logger.wire.handshake import Handshake

LEAST_SHARE = 0.95


def sweep_with(scenario: str, fault: str | None, seed: int, turns: int) -> SweepResult:
    """Return what is told of the virtual bench with this fault after so many turns."""
    source = PracticeSource(scenario, seed, fault, turns)
    session = Session(dict(source.setup))
    worker = Worker(source, session, make_handshake=lambda token: Handshake(first_token=token))
    worker.run()
    while not isinstance(message := worker.messages.get(), WorkerEnded):
        pass
    if message.error is not None:
        raise message.error
    return analyse(session.capture())


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the table; return 1 where a share is too small."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=20)
    parser.add_argument("--from-seed", type=int, default=100)
    parser.add_argument("--turns", type=int, nargs="+", default=[2, 3, 5])
    parser.add_argument("--scenario", default="wind-pump/as-found")
    parser.add_argument("fault", nargs="*")
    asked = parser.parse_args(arguments)
    small = 0
    print(f"{'fault':13} {'own check':17} turns  diagonal  refused; doubtful", flush=True)
    for name in asked.fault or ["nothing", *FAULTS]:
        own = "" if name == "nothing" else FAULTS[name].check
        for turns in asked.turns:
            good, refused, doubtful = 0, Counter[str](), Counter[str]()
            for seed in range(asked.from_seed, asked.from_seed + asked.seeds):
                result = sweep_with(asked.scenario, None if name == "nothing" else name, seed, turns)
                spoke = {check.name: check.state for check in result.checks if check.state != "clear"}
                no = {check for check, state in spoke.items() if state == "refused"}
                good += (own in spoke and no <= {own}) if own else not spoke
                refused.update(no)
                doubtful.update(spoke.keys() - no)
            small += good < LEAST_SHARE * asked.seeds
            spoken = "; ".join(
                ", ".join(f"{check} {times}" for check, times in counted.most_common()) or "-"
                for counted in (refused, doubtful)
            )
            share = f"{good}/{asked.seeds}"
            print(f"{name:13} {own or '-':17} {turns:5}  {share:>8}  {spoken}", flush=True)
    print(f"{small} lines under {LEAST_SHARE:.0%}")
    return int(small > 0)


if __name__ == "__main__":
    sys.exit(main())

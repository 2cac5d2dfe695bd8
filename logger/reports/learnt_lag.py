"""How late a gauge is and what play it has, as text and as JSON; the keys are a promise."""

import math
from typing import Any

from analysis.units import format_length
from logger.reports.phrases import Report, trust_in_checks
from logger.reports.to_json import to_json
from logger.studies import LagStudy

_RPM = 60.0 / (2.0 * math.pi)


def as_json(study: LagStudy) -> dict[str, Any]:
    """Return the object of ``learn-lag``."""
    found = study.found
    return to_json(
        {
            "sweeps": [
                {
                    "file": one.name,
                    "rpm": phase.speed_rad_s * _RPM,
                    "high_side_deg": math.degrees(phase.rad) % 360.0,
                    "u_high_side_deg": math.degrees(phase.u_rad),
                }
                for one, phase in zip(study.sweeps, study.phases, strict=True)
            ],
            "lag_s": found.lag.value,
            "u_lag_s": found.lag.u,
            "lag_95_s": found.lag.interval(),
            "behind_deg": math.degrees(found.behind.value),
            "u_behind_deg": math.degrees(found.behind.u),
            "play_mm": found.play_mm,
            "high_side_deg": math.degrees(found.high_side.value),
            "u_high_side_deg": math.degrees(found.high_side.u),
            "gauge_delay": delay_as_written(study),
        }
    )


def as_text(study: LagStudy, unit: str) -> Report:
    """Return the answer, whether to believe it, and how to use it."""
    found = study.found
    low, high = found.lag.interval()
    behind, u_behind = math.degrees(found.behind.value), math.degrees(found.behind.u)
    side = math.degrees(found.high_side.value)
    half = (found.high_side.interval()[1] - found.high_side.interval()[0]) / 2.0
    checks = [check for one in study.sweeps for check in one.result.checks if check.name != "lag"]
    return Report(
        f"The gauge is {1000.0 * found.lag.value:.0f} ms late (95 %: {1000.0 * low:.0f} to "
        f"{1000.0 * high:.0f} ms).",
        (trust_in_checks(checks),),
        rows=(
            f"play holds the high side back by {behind:.1f} deg (standard uncertainty {u_behind:.1f} deg): "
            f"{format_length(found.play_mm, unit)} of play",
            f"without both the high side is at {side:.1f} deg, 95 %: +-{math.degrees(half):.1f} deg",
            *(
                f"{one.name}: {phase.speed_rad_s * _RPM:+.1f} turns a minute, high side "
                f"{math.degrees(phase.rad) % 360.0:.1f} deg as counted"
                for one, phase in zip(study.sweeps, study.phases, strict=True)
            ),
        ),
        notes=(f'Use it with: --set "gauge_delay={delay_as_written(study)}"',),
    )


def delay_as_written(study: LagStudy) -> str:
    """Return what to enter as ``gauge_delay``: never below zero, and limits of a tenth of a ms at least."""
    delay_ms = max(0.0, 1000.0 * study.found.lag.value)
    return f"{delay_ms:.1f} +- {max(0.1, 1000.0 * study.limits_s):.1f} ms"

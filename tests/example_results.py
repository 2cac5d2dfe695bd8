"""A small result for every report, made from formulas: what the text and the JSON of each are held against."""

from dataclasses import replace
from functools import cache
from typing import Any

import numpy as np
from indexed_sweeps import indexed_sweep, turned
from made_histories import result_of
from wobbles import order_one

from analysis.capture import Capture, Samples
from analysis.correction import adjust, hole_positions, torque_steps
from analysis.measurands import backlash, compare, end_float, forms, thickness_of_sweep
from analysis.results import Check, CheckState
from analysis.separation import analyse_two_tips
from analysis.setup import Setup, make_limit
from analysis.store import (
    GaugeEntry,
    GaugeUse,
    HistoryRow,
    Holdings,
    JobEntry,
    PartEntry,
    StandardEntry,
    StoredFile,
    StoredSweep,
    SweepEntry,
)
from analysis.units import parse_length
from logger.inputs import AnalysedSweep, FileCheck, FoundFile, FoundFiles, SweepOrigin
from logger.reports import (
    added_files,
    adjustment,
    backlash as backlash_report,
    comparison,
    cut,
    end_float as end_float_report,
    form,
    history,
    history_judged,
    history_views,
    hole_positions as hole_positions_report,
    learnt_lag,
    provenance,
    register,
    related_sweeps,
    separation,
    shaft_axis,
    store_upkeep,
    sweep,
    thickness,
    torque,
    two_tips,
)
from logger.reports.added_files import AddedFile
from logger.reports.phrases import Report
from logger.studies import (
    AnalysedAgain,
    LagStudy,
    MountingsStudy,
    SeparationStudy,
    Suspect,
    at_planes,
    axis_of,
    check_chart,
    grouped,
    relate,
    study_lag,
    study_mountings,
    study_separation,
    trend,
)

PART, MOUNT = order_one(0.140, 63.0), order_one(0.030, 200.0)
FACE = {"part": "flange", "surface": "face", "track_radius": "110 mm", "mark_on": "part"}
CLEAR = Check("turns", CheckState.CLEAR, "3 full turns")
DOUBTFUL = Check("speed", CheckState.DOUBTFUL, "turned unevenly", "turn evenly")
REFUSED = Check("tip", CheckState.REFUSED, "the tip lifted off", "set the tip again")


def with_checks(one: AnalysedSweep, *checks: Check) -> AnalysedSweep:
    """Return a sweep with these checks and no others."""
    return replace(one, result=replace(one.result, checks=checks)) if checks else one


@cache
def own(*checks: Check) -> AnalysedSweep:
    """Return a face in its own bearings, over its limit."""
    return with_checks(indexed_sweep(PART, name="own.mcap", **FACE, limit="0.05 mm"), *checks)


@cache
def lathe(index_deg: float = 0.0, *checks: Check, mount: complex = MOUNT) -> AnalysedSweep:
    """Return the same face on the lathe, its mark at this place on the arbor."""
    z, name = PART + turned(mount, -index_deg), f"lathe-{index_deg:g}.mcap"
    return with_checks(indexed_sweep(z, name=name, index_deg=index_deg, seed=2, **FACE), *checks)


@cache
def mountings(*checks: Check, again: bool = False) -> MountingsStudy:
    """Return two mountings studied, the second on the lathe now: good enough, or to be made ``again``."""
    limit = make_limit(parse_length("0.01 mm" if again else "0.05 mm"), "tir", surface="face", radius_mm=None)
    first = lathe(0.0, mount=order_one(0.090, 20.0))
    lengths = {"stock": 1.0, "pass_depth": 0.1}
    return study_mountings(
        [own(*checks)], [first, lathe()], limit, "face", lengths_mm=lengths, between=lathe()
    )  # fmt: skip


@cache
def separation_of_half_turn(*checks: Check) -> SeparationStudy:
    """Return part and spindle told apart after a cut, half a turn on."""
    read = with_checks(
        indexed_sweep(turned(MOUNT, 180.0) * 2.0, name="half.mcap", index_deg=180.0, **FACE), *checks
    )
    return study_separation([read], cut_at_deg=0.0)


@cache
def change(*checks: Check) -> tuple[AnalysedSweep, AnalysedSweep, Any]:
    """Return before, after and how much it changed."""
    before, after = (
        own(*checks),
        indexed_sweep(MOUNT, name="after.mcap", seed=3, **FACE | {"operator": "another"}),
    )
    return before, after, compare(before.result, after.result)


def positions() -> Any:
    """Return the positions of a part on a flange with three holes."""
    return hole_positions(order_one(0.030, 100.0), order_one(0.050, 20.0), 3)


def push_pull(limit_mm: float | None, *, own_limit: bool = False) -> Any:
    """Return an end float of 0.21 mm, pushed and pulled four times."""
    level = np.tile(np.repeat([0.0, 0.21], 40), 4)
    n = len(level)
    samples = Samples(
        np.arange(n) * 0.02, np.zeros(n), level, np.ones(n, bool), np.zeros(n, bool), np.zeros(n, np.int16)
    )  # fmt: skip
    return end_float(Capture(samples, Setup(), resolution_mm=0.001), limit_mm, own_limit=own_limit)


@cache
def disc() -> AnalysedSweep:
    """Return the sum of two tips on a disc whose thickness varies by 0.016 mm."""
    return indexed_sweep(order_one(0.016, 70.0), **FACE)


@cache
def axis() -> tuple[Any, Any]:
    """Return the axis of a roller measured at two planes, and what it predicts half-way between them."""
    outside = {"part": "roller", "surface": "outside"}
    near = indexed_sweep(order_one(0.040, 40.0), name="near.mcap", track_plane="0 mm", **outside)
    far = indexed_sweep(order_one(0.070, 150.0), name="far.mcap", seed=2, track_plane="600 mm", **outside)
    found = axis_of([near, far])
    return found, at_planes(found, [300.0], 0.0)


@cache
def related() -> Any:
    """Return sweeps at two speeds in both directions, the gauge 0.12 s late, the stand crept between two."""

    def seen(direction: int, rpm: float, height_mm: float = 0.0) -> AnalysedSweep:
        late = turned(PART, direction * 0.12 * rpm * 6.0)
        name = f"{'on' if direction > 0 else 'back'}-{rpm:g}.mcap"
        return indexed_sweep(late, name=name, direction=direction, rpm=rpm, height_mm=height_mm, **FACE)

    return relate([seen(1, 5.0), seen(-1, 5.0), seen(1, 12.0, 0.012), seen(-1, 12.0)])


@cache
def opposed() -> Any:
    """Return a face of 0.140 mm on a shaft that moves 0.030 mm along its axis once a turn."""
    axial = MOUNT
    first, second = (indexed_sweep(z + axial, **FACE, limit="0.05 mm") for z in (PART, -PART))
    return analyse_two_tips(first.capture, second.capture)


@cache
def objects() -> dict[str, tuple[str, dict[str, Any]]]:
    """Return the JSON object of each report, with the place it has among the promised keys."""
    face, origin = own(), SweepOrigin("own.mcap", "5f0c0e9e", True)
    varies = thickness_of_sweep(disc().result)
    return {
        "adjustment": (
            "adjust: ",
            adjustment.as_json(adjust(face.on_part(), [0.0, 120.0], surface="outside")),
        ),
        "backlash": ("backlash: ", backlash_report.as_json(gear())),
        "comparison": ("compare: ", comparison.as_json(*change())),
        "cut": ("plan-cut: ", cut.as_json(mountings())),
        "end_float": ("endfloat: ", end_float_report.as_json(push_pull(0.05, own_limit=True))),
        "form": ("sweep: form.", form.as_json(forms([face.result])[0])),
        "hole_positions": ("best-hole: ", hole_positions_report.as_json(positions())),
        "learnt_lag": ("learn-lag: ", learnt_lag.as_json(late())),
        "provenance": ("sweep: provenance.", provenance.as_json([origin])),
        "related_sweeps": ("sweep of several: together.", related_sweeps.as_json(related())),
        "separation": ("separate: ", separation.as_json(separation_of_half_turn())),
        "shaft_axis": ("sweep of several: axis.", shaft_axis.as_json(*axis())),
        "sweep": ("sweep: ", sweep.as_json(face.result, origin, face.capture.link)),
        "thickness": ("thickness: ", thickness.as_json(varies, None, [CLEAR])),
        "added_files": (
            "store: ",
            added_files.as_json([AddedFile("a.mcap", "r-1", "ab" * 32, 5, "over", True)]),
        ),
        "history": ("history: ", history.as_json([history_row()])),
        **of_the_history(),
        **of_the_register(),
        **of_the_store(),
        "torque": ("torque: ", torque.as_json(torque_steps(6, ["20 Nm"]))),
        "two_tips": ("sweep: opposed.", two_tips.as_json(opposed())),
    }


def of_the_history() -> dict[str, tuple[str, dict[str, Any]]]:
    """Return the objects of the history put together, in time, analysed again, charted and in doubt."""
    one = StoredSweep(
        recording_id="r-1", file="a.mcap", sha256="ab" * 32, started="2026-01-02T03:04:05Z", part="ring",
        serial="", job="7", stage="check standard", operator="AB", ended="closed", gauge="DI-07", gauge_id=1,
        gauge_due="2026-01-01", setup={}, edition=0, state="within", numerics=2, code_version="0.1.0",
        result=result_of(0.03), result_sha256=None,
    )  # fmt: skip
    limits = StandardEntry(
        part="ring", serial="", stage="check standard", baseline=["r-0"], n=10, mean_cos_mm=0.1,
        mean_sin_mm=0.0, s_mm=0.001, dof=18.0, alpha=0.01, made="2026-01-01T00:00:00Z",
    )  # fmt: skip
    again = AnalysedAgain(one, 1, 0.031, "within", ("numerics 1 to 2",))
    return {
        "history_views": ("history by recording: ", history_views.recordings_as_json([one])),
        "history_views, by part": (
            "history by part: ",
            history_views.groups_as_json(grouped("part", [one], [history_row()])),
        ),
        "history_views, in time": ("history in time: ", history_views.trend_as_json(trend([one], "tir"))),
        "history_judged": ("history again: ", history_judged.again_as_json([again], {"r-2": "is missing"})),
        "history_judged, checks": (
            "history of checks: ",
            history_judged.chart_as_json(check_chart([one], {"r-1"}, limits)),
        ),
        "history_judged, in doubt": (
            "history in doubt: ",
            history_judged.suspects_as_json([Suspect(one, ("past due",))]),
        ),
    }


def of_the_register() -> dict[str, tuple[str, dict[str, Any]]]:
    """Return the objects of gauges, parts and jobs, of each something."""
    gauge = GaugeEntry(
        id="DI-07", error_mm=0.003, error_means="limits", added="2026-01-02T03:04:09Z", gauge_id=1
    )
    part, job = PartEntry(number="hub", part_id=1), JobEntry(number="4711", job_id=1)
    one_sweep = SweepEntry(
        "r-1", "2026-01-02T03:04:05Z", "hub", "4711", "as left", "closed", "within", 0.03, 16.0
    )
    return {
        "register": ("gauge list: ", register.gauges_as_json([gauge])),
        "register, gauge add": ("gauge add: ", register.gauge_as_json(gauge)),
        "register, gauge show": (
            "gauge show: ",
            register.calibrations_as_json([(gauge, GaugeUse(1, one_sweep.started, one_sweep.started))]),
        ),
        "register, part add": ("part add: ", register.part_as_json(part)),
        "register, part list": ("part list: ", register.parts_as_json([part])),
        "register, part show": ("part show: ", register.parts_with_sweeps_as_json([(part, [one_sweep])])),
        "register, job add": ("job add: ", register.job_as_json(job)),
        "register, job list": ("job list: ", register.jobs_as_json([job])),
        "register, job show": ("job show: ", register.job_with_sweeps_as_json(job, [one_sweep])),
    }


def of_the_store() -> dict[str, tuple[str, dict[str, Any]]]:
    """Return the objects of a store looked after, with something wrong of every kind."""
    stored = StoredFile("r-1", "a.mcap", "ab" * 32, "closed")
    found = FoundFile("r-1", "a.mcap", "b.mcap")
    holdings = Holdings(dict.fromkeys(store_upkeep.COUNTED, 1), {"closed": 1})
    return {
        "store_upkeep": ("store status: ", store_upkeep.status_as_json("a.db", 4096, holdings, [])),
        "store_upkeep, check": (
            "store check: ",
            store_upkeep.check_as_json(FileCheck(5, 1, (found,), (stored,), (stored,), (stored,))),
        ),
        "store_upkeep, find": (
            "store find: ",
            store_upkeep.find_as_json(FoundFiles(3, (found,), (found,), (stored,))),
        ),
        "store_upkeep, backup": ("store backup: ", store_upkeep.backup_as_json("b.db", 4096)),
    }


def history_row(number: int = 1, **changes: Any) -> HistoryRow:
    """Return a stored turn of a closed recording that was over its limit."""
    fields: dict[str, Any] = {
        "part": "flange", "stage": "as found", "recorded": "2026-01-02T03:04:09Z", "tir_fit_mm": 0.146,
        "high_point_deg": 50.3, "state": "over", "recording_id": "r-1", "sha256": "ab" * 32, "ended": "closed",
        "numerics": 2, "mark": "51ab0502/00000007 part count 0", "setup": {"limit": "0.050 mm"},
    }  # fmt: skip
    return HistoryRow(number, **(fields | changes))


@cache
def late() -> LagStudy:
    """Return what three sweeps of one part tell of a gauge that is 0.1 s late."""
    ways = ((1, 6.0), (-1, 6.0), (1, 2.5))
    return study_lag(
        [
            indexed_sweep(
                turned(order_one(0.1, 50.0), direction * 0.1 * rpm * 6.0),
                name=f"{direction * rpm:+g}.mcap",
                direction=direction,
                rpm=rpm,
            )
            for direction, rpm in ways
        ]
    )


@cache
def gear() -> Any:
    """Return backlash at four places, held against the face of the gear."""
    places, read_mm = [0.0, 90.0, 180.0, 270.0], [0.13, 0.15, 0.12, 0.13]
    return backlash(places, read_mm, sweep=own().on_part(), sweep_tir_mm=0.14, factor=2.0)


@cache
def reports(*checks: Check, unit: str = "mm") -> dict[str, Report]:
    """Return what is printed of each result whose sweeps have checks, all with these checks."""
    face = own(*checks)
    found = adjust(
        face.on_part(), [0.0, 120.0, 240.0], surface="face", screw_radius_mm=60.0, track_radius_mm=110.0
    )
    varies = thickness_of_sweep(disc().result)
    return {
        "adjustment": adjustment.as_text(found, face, unit),
        "backlash": backlash_report.as_text(gear(), face, unit),
        "comparison": comparison.as_text(*change(*checks), unit),
        "cut": cut.as_text(mountings(*checks), unit),
        "hole_positions": hole_positions_report.as_text(positions(), [face], [], unit),
        "separation": separation.as_text(separation_of_half_turn(*checks), unit),
        "sweep": sweep.as_text(face.result, unit),
        "thickness": thickness.as_text(varies, None, checks or (CLEAR,), unit, two_tips=True),
    }

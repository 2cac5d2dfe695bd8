"""A check standard between the parts of a batch: held against its fixed limits, and what hangs on it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from analysis import store
from analysis.errors import BadInput
from analysis.measurands import CheckBaseline
from analysis.setup import Stage
from logger.batch.sweep_of_part import MeasuredPart

IN, OUT, NOT_JUDGED = "in control", "out of control", "not judged"


@dataclass(frozen=True, slots=True)
class CheckLimits:
    """The limits of one check standard that hold now."""

    part: str = ""
    serial: str = ""
    baseline: CheckBaseline | None = None
    """None where none were fixed."""
    fixed_from: tuple[str, ...] = ()
    """Recordings that they were fixed from: these are not judged by them."""


@dataclass(frozen=True, slots=True)
class CheckVerdict:
    """What one check was told."""

    part: str
    recording_id: str
    file: str
    state: str
    """``in control``, ``out of control`` or ``not judged``."""
    d2: float | None = None
    """Squared distance from the mean of the baseline, in units of its scatter."""
    limit: float | None = None
    why: str = ""
    """Why it was not judged."""

    @property
    def words(self) -> str:
        """The verdict in words."""
        if self.d2 is None:
            return f"check of {self.part}: {self.state} ({self.why})"
        return f"check of {self.part}: d2 {self.d2:.1f} of {self.limit:.1f}, {self.state}"


def check_limits(where: str | None, part: str) -> CheckLimits:
    """Return the limits of a check standard in this store; without any where none were fixed.

    Raises BadInput where those of several serials are there, StoreError.
    """
    if where is None or ("://" not in where and not Path(where).exists()):
        return CheckLimits(part)
    with store.open_store(where) as opened:
        entries = [
            one for one in opened.standards.all() if (one.part, one.stage) == (part, Stage.CHECK_STANDARD)
        ]
    serials = sorted({one.serial for one in entries})
    if len(serials) > 1:
        raise BadInput(
            f"{part!r} has limits of {len(serials)} serials ({', '.join(serials)}), expected those of one: "
            "give each check standard a part name of its own"
        )
    if not entries:
        return CheckLimits(part)
    newest = entries[0]
    baseline = CheckBaseline(
        complex(newest.mean_cos_mm, newest.mean_sin_mm), newest.s_mm, newest.n, newest.alpha
    )
    return CheckLimits(part, newest.serial, baseline, tuple(newest.baseline))


def judged(one: MeasuredPart, limits: CheckLimits) -> CheckVerdict:
    """Return a check held against the limits of its standard."""
    which = (one.part, one.recording_id, one.file)
    if limits.baseline is None:
        how = f"`fullturn history {one.part!r} --fix-baseline`, from 10 days"
        return CheckVerdict(*which, NOT_JUDGED, why=f"no limits are fixed: {how}")
    if one.recording_id in limits.fixed_from:
        return CheckVerdict(*which, NOT_JUDGED, why="its limits were fixed from it")
    if one.first_mm is None:
        return CheckVerdict(*which, NOT_JUDGED, why="its angles count from no mark")
    distance = limits.baseline.distance(one.first_mm)
    state = OUT if distance > limits.baseline.limit else IN
    return CheckVerdict(*which, state, distance, limits.baseline.limit)


def judged_checks(sweeps: Iterable[MeasuredPart], limits: CheckLimits) -> dict[str, CheckVerdict]:
    """Return the verdict of every check of this standard that measured something, by recording."""
    return {
        one.recording_id: judged(one, limits)
        for one in sweeps
        if one.is_check and one.counts and one.part == limits.part
    }


def suspects(sweeps: Sequence[MeasuredPart], verdicts: dict[str, CheckVerdict]) -> dict[str, str]:
    """Return the serials whose last sweep hangs on a check that was out, with the reason.

    These were measured since the last good check before it, or after it and before the next good one.
    """
    found: dict[str, str] = {}
    since_good: list[str] = []
    failed: CheckVerdict | None = None
    for one in sweeps:
        verdict = verdicts.get(one.recording_id)
        if one.of_batch:
            found.pop(one.serial, None)
            since_good.append(one.serial)
            if failed is not None:
                found[one.serial] = failed.words
        elif verdict is not None and verdict.state == OUT:
            failed = failed or verdict
            found |= {serial: verdict.words for serial in since_good if serial not in found}
        elif verdict is not None and verdict.state == IN:
            failed, since_good = None, []
    return found

"""The wind-pump job, step by step: each sweep recorded on the virtual bench, read back, and told."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from analysis.decision import limit_at_track
from analysis.measurands import EndFloat, end_float
from analysis.units import format_length
from logger import acquisition, page
from logger.inputs import AnalysedSweep, analysed, load_sweep
from logger.job import BY_KEY, WANTED_TURNS, Finding, Job, JobSweep, StepSweep, StepSweeps, finding_at
from logger.program_version import PROGRAM_VERSION

TITLE = (
    "A tour of one job on the practice bench: the gear flange of a wind pump runs out. Invented numbers; "
    "no part is measured."
)
KEPT_APART = "tour of "
LIMIT_KEY = "limit"
PIECE_US = 1_000_000
"""Of the bytes of a recording: long, since nobody waits for each."""


@dataclass(frozen=True, slots=True)
class Stop:
    """One stop of the tour."""

    step: str
    """Step of the job."""
    scenario: str
    """Empty where no sweep is taken."""
    did: str
    """What was done, in the words of a person who did it."""
    means: str
    """What that means for the next step; ``{...}`` stand for numbers that were measured."""
    seed: int = 1


STOPS = (
    Stop(
        "end-float",
        "wind-pump/end-float",
        "Push the shaft home and pull it out, before anything is set up.",
        "It would go straight into every face reading. Shims first.",
    ),
    Stop(
        "end-float",
        "wind-pump-shop/end-float-shimmed",
        "Shims set; the same again.",
        "Little enough to go on; a face sweep is told with that doubt.",
    ),
    Stop(
        "as-found",
        "wind-pump/as-found",
        "Turn the part in its own bearings, three times round.",
        "This is what the customer has. Whether part, seat or bearings own it, this sweep cannot tell.",
    ),
    Stop(
        "mounting",
        "wind-pump/mount-1",
        "On the lathe, on arbor and cones: sweep the same track, cut nothing yet.",
        "A burr sat under the cone. A cut now would leave too much, so off it comes.",
    ),
    Stop(
        "mounting",
        "wind-pump/mount-2",
        "Cone cleaned, mounted again.",
        "TRAP 1, numbers: the lathe reads {lathe}, the bearings {bearings}; as numbers they differ by "
        "{as_numbers}. Runouts add as vectors, and what a cut would leave is {as_vectors}.",
    ),
    Stop(
        "half-before",
        "wind-pump/half-turn-before",
        "Turn the part by half a turn on the arbor and sweep again, before the cut.",
        "The TIR is the same and the angle is not, so not all of it is the part's: the rest is the lathe's.",
    ),
    Stop(
        "predicted",
        "wind-pump/mount-2",
        "Back as it was mounted, mark to mark: only what is on the lathe now counts.",
        "A person decides whether to cut. Here it is cut.",
        seed=2,
    ),
    Stop(
        "after-cut",
        "wind-pump/after-cut",
        "Loosen nothing and sweep the fresh cut.",
        "TRAP 2, the zero on the lathe: the cut follows the LATHE's axis, so it reads next to nothing "
        "there whatever is left in the part's own bearings.",
    ),
    Stop(
        "half-after",
        "wind-pump/half-turn-after",
        "Half a turn on the arbor once more.",
        "Twice the lathe's own share; blind to the part's seat, so no verdict on the part.",
    ),
    Stop(
        "as-left",
        "wind-pump/as-left",
        "Back in its own bearings, shims as before: the only sweep that counts.",
        "As left is what the page says, beside as found.",
    ),
)
TOLD_ABOVE = ("as-found", "as-left")


@dataclass(frozen=True, slots=True)
class StepTold:
    """What is told at one stop."""

    number: int
    step: str
    title: str
    did: str
    file: str
    """Recording in the tour's folder."""
    said: str
    """What was read, in the words of the commands."""
    means: str
    state: str
    figure: str
    """Its result in a word or two."""


@dataclass
class Tour:
    """The job while it goes on; lengths in this unit, recordings in this folder."""

    folder: Path
    unit: str = "mm"
    job: Job = field(default_factory=lambda: Job("bull-gear flange", "wind-pump gearbox, demo"))
    done: list[StepTold] = field(default_factory=list)
    _found: dict[str, AnalysedSweep | EndFloat | str] = field(default_factory=dict)
    _limit_words: str = ""

    def steps(self, made: Callable[[str], None]) -> Iterator[StepTold]:
        """Yield every stop as it is told; ``made`` hears of every file before it is written."""
        for number, stop in enumerate(STOPS, 1):
            name = f"{number:02d}-{stop.scenario.rpartition('/')[2]}.mcap"
            made(name)
            finding = self._at(stop, self.folder / name)
            line = StepTold(
                number,
                stop.step,
                BY_KEY[stop.step].title,
                stop.did,
                name,
                finding.sentence,
                stop.means.format_map(self._numbers(stop)),
                finding.state,
                finding.figure,
            )
            self.done.append(line)
            yield line

    def part(self) -> page.MeasuredPart:
        """Return what the page is of, once every step was told."""
        sweeps = StepSweeps(self.job, self._found)
        measured_float = sweeps.end_float()
        known = None if measured_float is None else measured_float.end_float
        return page.measured_part(
            sweeps.last("as-left"),
            sweeps.last("as-found"),
            steps=[
                page.step_done(one.step, one.figure, one.said)
                for one in self.done
                if one.step not in TOLD_ABOVE
            ],
            end_float_mm=None if known is None else known.value,
        )

    def _at(self, stop: Stop, path: Path) -> Finding:
        """Record, read back and tell one stop."""
        turning = BY_KEY[stop.step].takes is StepSweep.TURNS
        acquisition.write_practice(
            stop.scenario,
            path,
            PROGRAM_VERSION,
            turns=WANTED_TURNS if turning else None,
            more_setup={"turns_planned": str(WANTED_TURNS)} if turning else None,
            kept_apart=KEPT_APART,
            piece_us=PIECE_US,
            seed=stop.seed,
        )
        loaded = load_sweep(str(path), {})
        if turning:
            self._found[path.name] = analysed(loaded, path.name)
        else:
            entered = loaded.capture.setup.limit
            limit_mm = None if entered is None else limit_at_track(entered, loaded.capture.setup)[0]
            self._found[path.name] = end_float(loaded.capture, limit_mm)
            self._limit_words = loaded.capture.setup.text.get(LIMIT_KEY, "")
        attempt = 1 + len([one for one in self.job.taken if one.step == stop.step])
        self.job = replace(self.job, at=stop.step, attempt=attempt).with_sweep(
            JobSweep(
                path.name,
                stop.step,
                attempt,
                path.name,
                loaded.origin.recording_id or "",
                0 if turning else None,
                WANTED_TURNS - 1 if turning else None,
                loaded.origin.measured or "",
            )
        )
        return finding_at(stop.step, StepSweeps(self.job, self._found), self.unit, self._limit_words)

    def _numbers(self, stop: Stop) -> dict[str, str]:
        """Return the numbers of the first trap; of other stops none are asked for."""
        if "{as_vectors}" not in stop.means:
            return {}
        sweeps = StepSweeps(self.job, self._found)
        own, now = sweeps.last("as-found"), sweeps.last("mounting")
        bearings, lathe = own.on_part(), now.on_part(own)
        left = lathe - bearings

        def length(mm: float) -> str:
            return format_length(mm, self.unit)

        return {
            "lathe": length(lathe.tir_first_mm),
            "bearings": length(bearings.tir_first_mm),
            "as_numbers": length(abs(bearings.tir_first_mm - lathe.tir_first_mm)),
            "as_vectors": length(left.tir_first_mm),
        }

"""Everything that stands on a page, as text and drawings in its order; knows no kind of file.

The answer first, then whose part, the picture, the numbers, the rule, and the small print.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from analysis.decision import RULE
from analysis.measurands import Comparison
from analysis.results import CheckState
from analysis.sweep import NUMERICS_VERSION
from analysis.units import format_length
from logger.page.drawing import Drawing
from logger.page.fields import Field, fields_of, laboratory, not_recorded
from logger.page.figures import figure, scale_of
from logger.page.issue import Issue, number_of
from logger.page.numbers_table import TextTable, numbers_table
from logger.page.paragraphs import Paragraph, paragraphs
from logger.page.part_on_page import MeasuredPart
from logger.page.shown import known, no_bare_zero, shown
from logger.program_version import PROGRAM_VERSION
from logger.reports.angle_direction import angle_direction
from logger.reports.phrases import between
from logger.reports.sweep import answer_sentence, trust_lines

TITLE = "RUNOUT MEASUREMENT RECORD"
INVENTED = "PRACTICE BENCH, INVENTED"
"""Stands across every page of data that no part was measured for."""
INVENTED_SENTENCE = "Practice bench, invented: no part was measured."
ONLY_THESE = "Results relate only to the item and the track named."
NO_CERTIFICATE = (
    "Measurement record, not a certificate of fitness. The maker's manual and local rules come first."
)
_HAND = "______________________ Date ____________"
SIGNED = f"Measured by {_HAND}    Authorised by {_HAND}"
END = "end of record"
ANNEX_FOLLOWS = "The arithmetic follows and is part of this record."


@dataclass(frozen=True, slots=True)
class Sentence:
    """One line of the answer."""

    text: str
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Chapter:
    """One part of the annex: a heading, and rows or sentences."""

    heading: str
    sentences: tuple[str, ...] = ()
    table: TextTable | None = None
    drawings: tuple[Drawing, ...] = ()
    new_sheet: bool = False
    """True where it begins on a sheet of its own."""


@dataclass(frozen=True)
class Content:
    """What stands on a page."""

    part: str
    number: str
    laboratory: Field
    practice: bool
    answers: tuple[Sentence, ...]
    left: tuple[Field, ...]
    right: tuple[Field, ...]
    drawings: tuple[Drawing, ...]
    caption: str
    table: TextTable
    paragraphs: tuple[Paragraph, ...]
    closing: tuple[str, ...]
    provenance: tuple[str, ...]
    amends: str = ""
    annex: tuple[Chapter, ...] = ()

    @property
    def small_print(self) -> str:
        """What the first sheet ends with: what it is of, and that it is the last where no annex follows."""
        ends = ANNEX_FOLLOWS if self.annex else f"- {END} -"
        return " ".join((*self.provenance, ends))

    @property
    def not_recorded(self) -> list[str]:
        """Names of what nobody entered."""
        return not_recorded((self.laboratory, *self.left, *self.right))


def content_of(part: MeasuredPart, issue: Issue, unit: str, annex: Sequence[Chapter] = ()) -> Content:
    """Return what stands on the page of a part."""
    change, seen = part.comparison(), part.seen()
    scale = scale_of(seen)
    left, right = fields_of(part, issue)
    name = part.after.result.setup.part
    directions = dict.fromkeys(angle_direction(one.result.setup) for one in part.sweeps)
    readings = "Strip: lowest to highest reading of each degree as a band, fitted curve, full height "
    amends = f"Amends {shown(issue.amends)}: {known(issue.reason)}" if issue.amends else ""
    return Content(
        part=known(name),
        number=issue.number or number_of(part.sweeps),
        laboratory=laboratory(issue),
        practice=part.practice,
        answers=tuple(_answers(part, change, unit)),
        left=left,
        right=right,
        drawings=tuple(figure(one, scale, unit) for one in seen),
        caption=(
            f"{readings}{scale.strip_mm:g} mm"
            f"{' in both' if len(seen) > 1 else ''}. Circle: heights drawn {scale.exaggerated:.0f} times as "
            f"large. {' '.join(directions)}"
        ),
        table=numbers_table(part, change, unit),
        paragraphs=paragraphs(part, change, unit),
        closing=(f"{ONLY_THESE} {NO_CERTIFICATE}", SIGNED),
        provenance=tuple(_provenance(part)),
        amends=amends,
        annex=tuple(annex),
    )


def _answers(part: MeasuredPart, change: Comparison | None, unit: str) -> list[Sentence]:
    """Return the answer line by line; what is refused stands where the second line would."""
    titles, results = part.titles, [one.result for one in part.sweeps]
    lines = [Sentence(f"{titles[-1]}: {_lowered(answer_sentence(results[-1], unit))}", strong=True)]
    for title, result in reversed(list(zip(titles, results, strict=True))):
        if any(check.state is CheckState.REFUSED for check in result.checks):
            lines.append(Sentence(f"{title}: {shown(_lowered(trust_lines(result)[0]), 220)}", strong=True))
    if part.before is None:
        return [*lines, Sentence("No sweep from before is put beside it: nothing is said of a change.")]
    assert change is not None
    lines.append(Sentence(f"{titles[0]}: {_lowered(answer_sentence(results[0], unit))}"))
    if change.first is None:
        lines.append(Sentence("Before and after do not compare: no change is given.", strong=True))
    else:
        size, side = change.first.tir_first, change.first.high_side
        lines.append(
            Sentence(
                f"Changed, as vectors, by {no_bare_zero(format_length(size.value, unit))} TIR of order 1 @ "
                f"{side.value % 360.0:.0f} deg on the part (95 %: {between(size.interval(), unit)})."
            )
        )
    return lines


def _lowered(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:]


def _provenance(part: MeasuredPart) -> list[str]:
    lines = []
    for title, one in zip(part.titles, part.sweeps, strict=True):
        origin = one.origin
        recording = f"recording {shown(origin.recording_id)}" if origin.recording_id else "no recording"
        digest = f"sha256 {origin.sha256}" if origin.sha256 else "no file"
        lines.append(f"{title}: {recording}, {digest}.")
    lines.append(f"fullturn {PROGRAM_VERSION}, numerics {NUMERICS_VERSION}, rule {RULE}.")
    return lines

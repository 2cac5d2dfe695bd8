"""Pages of known parts, for tests: from kept recordings, from readings written down, and what must not stand there."""

import io
import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

from places import RECORDINGS
from pypdf import PdfReader
from written_sweeps import write_csv

from logger.inputs import AnalysedSweep, analysed_sweep
from logger.page import Issue, MeasuredPart, Style, made_page, measured_part

FOUND, LEFT = (RECORDINGS / f"wind-pump-as-{name}" / "recording.mcap" for name in ("found", "left"))
ISSUED = date(2026, 11, 26)
ISSUE = Issue(ISSUED)
HOSTILE = '<script>alert(1)</script> $x$ \u202e=1+1 & "quoted" ' + 10_000 * "m"
GAUGE = {"gauge_id": "DI-07", "gauge_error": "0.003 mm", "gauge_due": "2031-01-31"}


def practice_part(before: bool = True) -> MeasuredPart:
    """Return the wind-pump flange of the kept recordings."""
    return measured_part(sweep(LEFT), sweep(FOUND) if before else None)


def sweep(path: Path | str, **more: str) -> AnalysedSweep:
    """Return an analysed sweep with more of a set-up."""
    return analysed_sweep(str(path), more)


def written_part(folder: Path, **setup: str) -> MeasuredPart:
    """Return a part that nobody practised: two sweeps written down, 0.09 mm before and 0.03 mm after."""
    given = {
        "part": "hub 4",
        "surface": "outside",
        "limit": "0.05 mm",
        "limit_source": "manual p. 12",
        **setup,
    }
    before = write_csv(folder / "before.csv", 0.09, 70.0, stage="as found", **given)
    after = write_csv(folder / "after.csv", 0.03, 200.0, stage="as left", **given)
    return measured_part(sweep(after), sweep(before))


def at_odds(part: MeasuredPart, text: str) -> MeasuredPart:
    """Return a part whose every entered text is this one."""

    def entered(one: AnalysedSweep) -> AnalysedSweep:
        setup = one.result.setup
        names = ("part", "job", "operator", "preload", "torque", "gauge_id")
        hostile = replace(setup, part=text, text={**setup.text, **dict.fromkeys(names, text)})
        if setup.limit is not None:
            hostile = replace(hostile, limit=replace(setup.limit, source=text))
        return replace(one, result=replace(one.result, setup=hostile))

    return replace(
        part, after=entered(part.after), before=None if part.before is None else entered(part.before)
    )


def html(part: MeasuredPart, issue: Issue = ISSUE, **style: object) -> str:
    """Return a page of HTML."""
    return made_page(part, issue, Style(**style), ".html").data.decode()  # type: ignore[arg-type]


def pdf(part: MeasuredPart, issue: Issue = ISSUE, **style: object) -> bytes:
    """Return a page of PDF."""
    return made_page(part, issue, Style(**style), ".pdf").data  # type: ignore[arg-type]


class _Seen(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.elements: list[str] = []
        self.links: list[str] = []
        self.words: list[str] = []
        self._in: list[str] = []

    def handle_starttag(self, tag: str, attrs: Sequence[tuple[str, str | None]]) -> None:
        self.elements.append(tag)
        self._in.append(tag)
        self.links += [
            str(value) for name, value in attrs if name in ("src", "href", "srcset", "data", "action")
        ]

    def handle_endtag(self, tag: str) -> None:
        while self._in and self._in.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        if not self._in or self._in[-1] not in ("style", "script"):
            self.words.append(data)


def seen_in(page: str) -> _Seen:
    """Return what a parser finds in a page of HTML: elements, links, and text that a reader sees."""
    seen = _Seen()
    seen.feed(page)
    seen.close()
    return seen


def text_of_html(page: str) -> str:
    """Return what a reader of a page of HTML sees, with single spaces."""
    return " ".join(" ".join(seen_in(page).words).split())


def text_of_pdf(data: bytes) -> str:
    """Return what a reader of a page of PDF sees, with single spaces."""
    return " ".join(" ".join(each.extract_text() for each in PdfReader(io.BytesIO(data)).pages).split())


ALLOWED = (
    "not a certificate of fitness",
    "gauge certificate",
    "gauge_certificate",
    "no certificate entered",
    "by its certificate",
    "gauge's certificate",
    "gauge_due",
)
"""Where the word certificate may stand: it is said of no part."""
NEVER = re.compile(
    r"certif|approv|\bpass(es|ed)?\b|\bfail(s|ed|ure)?\b|\bok\b|\bsafe|roadworthy|fit for use|\btrue\b|proof|\bproven\b"
    r"|calibrat|accurate to|guarantee|zero runout|no error|accredit|in accordance with|\berror-free\b",
    re.IGNORECASE,
)
BARE_ZERO = re.compile(r"(?<![\d.])0\.0+ (mm|um|in|thou)\b(?! (to|and))")
"""A length of nothing by itself; as an end of an interval it may stand."""


def never_said(text: str) -> list[str]:
    """Return what stands in a text and must never be said of a part."""
    plain = " ".join(text.split())
    for words in ALLOWED:
        plain = plain.replace(words, "")
    found = [match.group() for match in NEVER.finditer(plain)]
    zeros = [plain[max(0, at.start() - 30) : at.end()] for at in BARE_ZERO.finditer(plain)]
    return found + [each for each in zeros if " to 0." not in each and not each.rstrip().endswith("nothing")]

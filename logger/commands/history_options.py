"""What narrows a history, as the command line gives it."""

from dataclasses import dataclass
from datetime import date, timedelta

from analysis import setup, store
from analysis.errors import BadInput

UNNAMED = ""
"""What ``--again`` is of where no recording is named after it."""
ALL = "all"


@dataclass(frozen=True)
class FilterOptions:
    """Options that say of which turns."""

    serial: str | None
    job_number: str | None
    stage: str | None
    state: str | None
    gauge: str | None
    operator: str | None
    since: str | None
    until: str | None

    def for_store(self, part: str | None) -> "store.HistoryFilter":
        """Return them as the store is asked. Raises BadInput for a day, stage or serial that says nothing."""
        if self.serial is not None and part is None:
            raise BadInput("--serial without PART: several parts may have that serial; name the part first")
        since, until = _day("--since", self.since), _day("--until", self.until)
        if since and until and until < since:
            raise BadInput(f"--until {until} is before --since {since}: exchange the two")
        return store.HistoryFilter(
            serial=self.serial,
            job=self.job_number,
            stage=None if self.stage is None else _stage(self.stage),
            state=self.state,
            gauge=self.gauge,
            operator=None if self.operator is None else store.initials(self.operator),
            since=since.isoformat() if since else None,
            before=(until + timedelta(days=1)).isoformat() if until else None,
        )


@dataclass(frozen=True)
class JudgedOptions:
    """What is done with the recordings that are listed, beyond listing them."""

    again: str | None
    all_listed: bool
    why: str | None
    chart: bool
    fix_baseline: bool
    suspect: bool

    def chosen(self, by: str, trend: bool) -> str | None:
        """Return which of them it is; None where turns are listed or put together. Raises BadInput."""
        named = {
            "--by": by != "turn",
            "--trend": trend,
            "--again": self.again is not None,
            "--chart": self.chart,
            "--fix-baseline": self.fix_baseline,
            "--suspect": self.suspect,
        }
        given = [option for option, is_given in named.items() if is_given]
        if len(given) > 1:
            raise BadInput(f"{' and '.join(given)} at once: ask for one after the other")
        if self.why is not None and self.again is None:
            raise BadInput("--why goes with --again: add --again ID, or leave it out")
        if self.all_listed and self.again is None:
            raise BadInput("--all goes with --again: write --again --all, or leave it out")
        if self.all_listed and self.again not in (UNNAMED, ALL):
            raise BadInput(f"--all and --again {self.again!r} at once: name one recording, or all of them")
        if self.again == UNNAMED and not self.all_listed:
            raise BadInput("--again without a recording: name a turn or rec/IDENTITY, or write --again --all")
        return given[0] if given and given[0] not in ("--by", "--trend") else None

    @property
    def again_of(self) -> str | None:
        """What is analysed again; None where all that is listed is."""
        return None if self.all_listed or self.again == ALL else self.again


def _day(option: str, written: str | None) -> date | None:
    if written is None:
        return None
    try:
        return date.fromisoformat(written)
    except ValueError as error:
        raise BadInput(f"{option} {written!r} is no day: write it as 2026-01-31") from error


def _stage(written: str) -> str:
    words = written.replace("-", " ")
    known = [each.value for each in setup.Stage]
    if words not in known:
        raise BadInput(f"--stage {written!r} is not one of {', '.join(known)}")
    return words

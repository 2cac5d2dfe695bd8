"""A laboratory's record of a part that the emulated board measured: everything entered that a person enters."""

from dataclasses import dataclass
from pathlib import Path

from firmware_bench import plugged
from firmware_recordings import TURNING
from running import Ran, fullturn

PART, JOB, GAUGE = "bull-gear flange", "J-88", "DI-07"
ENTERED = (
    ("gauge", "add", GAUGE, "--certificate", "C-4711", "--due", "2031-01-31", "--error", "0.003 mm"),
    ("part", "add", PART, "--serial", "A-017", "--drawing", "D-1093"),
    (
        *("job", "add", JOB, "--customer", "River works", "--contact", "desk 3"),
        *("--received", "2026-11-20", "--condition", "cleaned, no burrs"),
    ),
)
SETUP = {
    "part": PART,
    "serial": "A-017",
    "job": JOB,
    "surface": "face",
    "track_radius": "110 mm",
    "limit": "0.200 mm",
    "limit_source": "manual 7.3, p. 41",
    "gauge_id": GAUGE,
    "operator": "HK",
    "bench": "bench 2",
    "place": "measuring room 1",
    "temperature": "20.6 C",
    "preload": "shims 0.30",
    "torque": "60 Nm",
    "holes": "6",
    "gauge_delay": "10 +- 2 ms",
}
LABORATORY = (
    *("--lab", "--lab-name", "Bench laboratory", "--lab-address", "Mill lane 3, 1000 Weir"),
    *("--method", "MP-12 issue 3"),
)


@dataclass(frozen=True)
class BoardRecord:
    """What the commands made of it."""

    home: Path
    recorded: tuple[Ran, ...]
    """As found, then as left."""
    html: Ran
    pdf: Ran

    @property
    def page(self) -> str:
        """The page of HTML."""
        return (self.home / "record.html").read_text(encoding="utf-8")

    @property
    def pdf_data(self) -> bytes:
        """The page of PDF."""
        return (self.home / "record.pdf").read_bytes()


def board_record(home: Path) -> BoardRecord:
    """Enter gauge, part and job, record the emulated board twice, and make the record of both kinds."""
    for words in ENTERED:
        assert fullturn(home, *words).status == 0
    ran = [_recorded(home, stage) for stage in ("as found", "as left")]
    made = [
        fullturn(home, "report", PART, *LABORATORY, "-o", f"record.{kind}", "--json")
        for kind in ("html", "pdf")
    ]
    return BoardRecord(home, tuple(ran), *made)


def _recorded(home: Path, stage: str) -> Ran:
    """Return a sweep that no check doubts: as a laboratory would, take it again where one does.

    Of two turns beside a bearing's own motion one in some ten is doubted.
    """
    for attempt in range(5):
        ran = _recorded_once(home, stage, f"{stage.replace(' ', '-')}{attempt or ''}")
        if ran.status == 0 and all(check["state"] == "clear" for check in ran.result["checks"]):
            break
    return ran


def _recorded_once(home: Path, stage: str, name: str) -> Ran:
    given = [word for key, value in SETUP.items() for word in ("--set", f"{key}={value}")]
    folder = home / name
    folder.mkdir()
    with plugged(folder, *TURNING, "--free") as board:
        out = ("--out", f"{folder}.mcap")
        return fullturn(
            home, "record", board.port, "--turns", "2", *out, *given, "--set", f"stage={stage}", "--json"
        )

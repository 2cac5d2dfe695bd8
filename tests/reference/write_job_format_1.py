"""Write the folder job_format_1, once: a data folder with one job as version 0.1.0 keeps it.

Never run again for that folder: it is the promise, this script only tells what is in it.
"""

import sys
from pathlib import Path

from logger.job.job import Job, JobSweep
from logger.job.job_file import folder_of, write

RECORDED = "8f14e45f-ceea-467f-9f5f-0d9a2f1b7c11"
"""Every step below was taken from one recording."""


def job_sweep(
    number: int, step: str, attempt: int, turns: tuple[int, int] | None, said: str, state: str
) -> JobSweep:
    """Return one sweep of the job."""
    return JobSweep(
        id=f"{number:08x}",
        step=step,
        attempt=attempt,
        file="2024-03-01-093000-rotor-3.mcap",
        recording_id=RECORDED,
        from_turn=turns[0] if turns else None,
        to_turn=turns[1] if turns else None,
        taken=f"2024-03-01T09:{30 + number}:00Z",
        said=said,
        state=state,
        figure=" ".join(said.split()[-2:]),
    )


SWEEPS = (
    ("end-float", 1, None, "End float 0.210 mm", "refused"),
    ("as-found", 1, (0, 2), "Face runout 0.146 mm", "over"),
    ("as-found", 1, (3, 5), "Face runout 0.147 mm", "over"),
    ("mounting", 1, (0, 2), "mount it again", "over"),
    ("mounting", 2, (6, 8), "Späne entfernt: \u2300 0,012 mm", "within"),
    ("half-before", 1, (9, 11), "", ""),
    ("predicted", 1, (12, 14), "would leave 0.031 mm", "undecided"),
    ("after-cut", 1, (15, 17), "reads 0.004 mm", "within"),
)


def main(data_folder: Path) -> None:
    """Write the folder."""
    job = Job(
        part="rotor 3",
        number="2024/17",
        at="half-after",
        attempt=1,
        taken=tuple(job_sweep(number, *sweep) for number, sweep in enumerate(SWEEPS)),
        skipped=("arbor", "cut-card"),
        acknowledged=("lifting", "dust", "turning", "power", "remount", "cut"),
        values={"allowance": "0.02 mm", "pass_depth": "4 thou", "stock": "12 mm", "minimum": "10,5 mm"},
    )
    write(folder_of(data_folder, job.part, job.number), job)


if __name__ == "__main__":
    main(Path(sys.argv[1]))

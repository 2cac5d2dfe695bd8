from .batch import (
    BEGINS as BEGINS,
    Batch as Batch,
    SkippedPart as SkippedPart,
    with_job_held as with_job_held,
)
from .job_sweeps import (
    JobSweeps as JobSweeps,
    recordings_of_job as recordings_of_job,
    sweeps_of_job as sweeps_of_job,
)
from .serials import (
    Again as Again,
    Named as Named,
    Skip as Skip,
    expand_serials as expand_serials,
    parse_line as parse_line,
)
from .sweep_of_part import (
    NO_LIMIT as NO_LIMIT,
    REFUSED as REFUSED,
    SHORT as SHORT,
    MeasuredPart as MeasuredPart,
    measured_part as measured_part,
)
from .table import as_json as as_json, as_text as as_text, counts as counts, in_one_line as in_one_line

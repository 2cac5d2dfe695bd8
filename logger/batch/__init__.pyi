from .batch import (
    BEGINS as BEGINS,
    Batch as Batch,
    with_job_held as with_job_held,
)
from .checks import (
    OUT as OUT,
    CheckLimits as CheckLimits,
    CheckVerdict as CheckVerdict,
    check_limits as check_limits,
    judged_checks as judged_checks,
    suspects as suspects,
)
from .job_sweeps import (
    JobSweeps as JobSweeps,
    recordings_of_job as recordings_of_job,
    sweeps_of_job as sweeps_of_job,
)
from .plan import BatchPlan as BatchPlan, NextSweep as NextSweep, batch_plan as batch_plan
from .second_sweeps import Repeat as Repeat, repeats as repeats, scatter_mm as scatter_mm
from .serials import (
    Again as Again,
    Named as Named,
    Skip as Skip,
    expand_serials as expand_serials,
    parse_line as parse_line,
)
from .skips import (
    SkippedPart as SkippedPart,
    keep_skipped as keep_skipped,
    skipped_of_job as skipped_of_job,
)
from .sweep_of_part import (
    NO_LIMIT as NO_LIMIT,
    REFUSED as REFUSED,
    SHORT as SHORT,
    MeasuredPart as MeasuredPart,
    measured_part as measured_part,
)
from .table import (
    as_json as as_json,
    as_text as as_text,
    checks_as_json as checks_as_json,
    counts as counts,
    in_one_line as in_one_line,
    repeats_as_json as repeats_as_json,
)

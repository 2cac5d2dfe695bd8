from .background_reader import JobReader as JobReader
from .cautions import CAUTIONS as CAUTIONS
from .finding import REFUSING as REFUSING, Finding as Finding
from .findings import finding_at as finding_at
from .job import Job as Job, JobSweep as JobSweep
from .step_sweeps import StepSweeps as StepSweeps
from .steps import (
    BY_KEY as BY_KEY,
    DONE as DONE,
    ORDER as ORDER,
    STEPS as STEPS,
    WANTED_TURNS as WANTED_TURNS,
    Step as Step,
    StepSweep as StepSweep,
)

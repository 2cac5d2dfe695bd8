from .batch import Batch as Batch, batch_as_json as batch_as_json, batch_of as batch_of
from .check_figure import figure_of_checks as figure_of_checks
from .empty_sheet import PLACES as PLACES
from .issue import Issue as Issue
from .making import (
    Made as Made,
    Style as Style,
    check_file as check_file,
    check_laboratory as check_laboratory,
    made_batch as made_batch,
    made_drawing as made_drawing,
    made_labels as made_labels,
    made_page as made_page,
    made_pages as made_pages,
    made_sheet as made_sheet,
    write_all as write_all,
    write_whole as write_whole,
)
from .paper import PAPERS as PAPERS, Paper as Paper
from .part_on_page import MeasuredPart as MeasuredPart, StepDone as StepDone, measured_part as measured_part
from .readings_file import (
    ReadingsFile as ReadingsFile,
    readings_files as readings_files,
    readings_paths as readings_paths,
)
from .register import Registered as Registered, registered as registered
from .requested import (
    PageRequest as PageRequest,
    names_a_part as names_a_part,
    requested_part as requested_part,
    requested_sweeps as requested_sweeps,
    step_done as step_done,
)
from .stored_part import StoredPlace as StoredPlace, newest_stored as newest_stored
from .unaltered import refuse_altered as refuse_altered

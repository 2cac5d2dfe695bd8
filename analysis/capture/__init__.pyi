from .angle_source import AngleSource as AngleSource
from .certificate import (
    Certificate as Certificate,
    certificate_of as certificate_of,
    corrected_by_certificate as corrected_by_certificate,
    overdue as overdue,
)
from .exclusions import (
    Window as Window,
    holes_in_sweep as holes_in_sweep,
    kept as kept,
    left_out_by_person as left_out_by_person,
    parse_window as parse_window,
    reason_broken as reason_broken,
    reason_left_out as reason_left_out,
    window_about as window_about,
    windows_of_events as windows_of_events,
    windows_of_setup as windows_of_setup,
    words_of_exclusion as words_of_exclusion,
)
from .from_recording import (
    LINK_COUNTS as LINK_COUNTS,
    FromRecording as FromRecording,
    RecordedCheck as RecordedCheck,
    read_recorded as read_recorded,
    recorded_words as recorded_words,
)
from .samples import (
    Bools as Bools,
    Capture as Capture,
    Floats as Floats,
    Gap as Gap,
    IndexPulses as IndexPulses,
    LinkCounts as LinkCounts,
    Samples as Samples,
    joined as joined,
)
from .turn_cutter import (
    TurnCutter as TurnCutter,
    cut_turns as cut_turns,
)
from .turns import (
    Turn as Turn,
    coverage_and_gap_deg as coverage_and_gap_deg,
    largest_gap_deg as largest_gap_deg,
    split_runs as split_runs,
)
from .turns_of_run import TurnSamples as TurnSamples, one_turn_of as one_turn_of
from .typed_readings import MOST_PLACES as MOST_PLACES, TypedSet as TypedSet, parse_typed as parse_typed

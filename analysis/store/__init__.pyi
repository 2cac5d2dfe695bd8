from .access import Store as Store
from .issued import Issued as Issued, IssuedRecord as IssuedRecord
from .job_notes import JobNote as JobNote, JobNotes as JobNotes
from .opening import open_store as open_store
from .quantities import (
    STORED_QUANTITIES as STORED_QUANTITIES,
    StoredNumber as StoredNumber,
    stored_number as stored_number,
)
from .register_rows import (
    GaugeEntry as GaugeEntry,
    GaugeUse as GaugeUse,
    JobEntry as JobEntry,
    PartEntry as PartEntry,
    SweepEntry as SweepEntry,
)
from .rows import (
    EVERYTHING as EVERYTHING,
    ClosingFacts as ClosingFacts,
    HistoryFilter as HistoryFilter,
    HistoryRow as HistoryRow,
    RecordingRow as RecordingRow,
    StoredRecording as StoredRecording,
    StoredSweep as StoredSweep,
    StoredTurn as StoredTurn,
    TurnLeftOut as TurnLeftOut,
    TurnRow as TurnRow,
)
from .said_by_result import canonical_sha256 as canonical_sha256
from .said_by_setup import initials as initials
from .standards import StandardEntry as StandardEntry, Standards as Standards
from .upgrade import copy_before as copy_before, run_migrations as run_migrations
from .upkeep import Holdings as Holdings, StoredFile as StoredFile
from .version import SCHEMA_VERSION as SCHEMA_VERSION

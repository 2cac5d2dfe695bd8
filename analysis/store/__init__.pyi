from .opening import open_store as open_store
from .queries import Store as Store
from .rows import (
    HistoryRow as HistoryRow,
    RecordingRow as RecordingRow,
    StoredRecording as StoredRecording,
    StoredTurn as StoredTurn,
    TurnRow as TurnRow,
)
from .upgrade import copy_before as copy_before, run_migrations as run_migrations
from .version import SCHEMA_VERSION as SCHEMA_VERSION

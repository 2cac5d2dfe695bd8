"""The tables of what was measured, at their newest version: recordings, analyses, turns and notes of turns.

A *recording* has *editions*: edition 0 is what was found while recording, each later analysis of the same
bytes is the next one, with turns of its own. So a re-analysis adds rows and changes none. Times are ISO
8601 text in UTC, lengths mm, angles degrees. Only types that SQLite and PostgreSQL share.

``setup`` and ``result`` are the whole truth as JSON; other columns are there to be asked.
"""

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    column,
    table,
)

from analysis.store.metadata import metadata
from analysis.store.version import VERSION_TABLE

version = table(VERSION_TABLE, column("version_num", String))

recordings = Table(
    "recordings",
    metadata,
    Column("recording_id", String(36), nullable=False),
    Column("file", Text, nullable=False),
    Column("started", String(40), nullable=False),
    Column("part", Text, nullable=False),
    Column("job", Text, nullable=False),
    Column("stage", Text, nullable=False),
    Column("surface", Text, nullable=False),
    Column("setup", JSON, nullable=False),
    Column("code_version", Text, nullable=False),
    # written by finish_recording
    Column("sha256", String(64)),
    Column("closed", Boolean),
    # running when it is begun; closed or interrupted when it is finished
    Column("ended", String(16)),
    Column("part_id", Integer, ForeignKey("parts.part_id")),
    Column("job_id", Integer, ForeignKey("jobs.job_id")),
    # the row of the indicator that held when it was made; a new calibration is another row
    Column("gauge_id", Integer, ForeignKey("gauges.gauge_id")),
    Column("encoder_id", Integer, ForeignKey("gauges.gauge_id")),
    # initials, never a name
    Column("operator", Text),
    Column("bench", Text),
    Column("board_serial", Text),
    Column("firmware", Text),
    Column("channel", Text),
    Column("ended_at", String(40)),
    Column("bytes", BigInteger),
    # made by the virtual bench: invented data
    Column("practice", Boolean),
    Column("series_id", Integer, ForeignKey("series.series_id")),
    Column("place", Text),
    PrimaryKeyConstraint("recording_id", name="recordings_key"),
    Index("recordings_by_part", "part", "started"),
    Index("recordings_by_part_row", "part_id", "started"),
    Index("recordings_by_job", "job_id", "started"),
    Index("recordings_by_gauge", "gauge_id", "started"),
    Index("recordings_by_series", "series_id"),
    Index("recordings_by_sha256", "sha256"),
)

analyses = Table(
    "analyses",
    metadata,
    Column("recording_id", String(36), nullable=False),
    Column("edition", Integer, nullable=False),
    Column("code_version", Text, nullable=False),
    # written by finish_recording
    Column("options", JSON(none_as_null=True)),
    Column("state", String(16)),
    Column("result", JSON(none_as_null=True)),
    Column("numerics", Integer),
    Column("made", String(40)),
    Column("who", Text),
    Column("why", Text),
    # the edition that this one is to be read in place of
    Column("replaces", Integer),
    Column("blas_threads", Integer),
    # of this sweep alone, as its pooled numbers; what is held against a limit stands in decisions
    Column("quantity", String(16)),
    Column("value_mm", Double),
    Column("u_mm", Double),
    Column("dof", Double),
    Column("low_mm", Double),
    Column("high_mm", Double),
    Column("tir_raw_mm", Double),
    Column("tir_first_mm", Double),
    Column("first_cos_mm", Double),
    Column("first_sin_mm", Double),
    Column("high_point_deg", Double),
    Column("turns_used", Integer),
    # of the result as canonical JSON, but for where its file lay and which program printed it
    Column("result_sha256", String(64)),
    PrimaryKeyConstraint("recording_id", "edition", name="analyses_key"),
    ForeignKeyConstraint(["recording_id"], ["recordings.recording_id"], name="analyses_of_recording"),
    Index("analyses_by_state", "state", "recording_id"),
)

turns = Table(
    "turns",
    metadata,
    Column("id", Integer, nullable=False, autoincrement=True),
    Column("recording_id", String(36), nullable=False),
    Column("edition", Integer, nullable=False),
    Column("turn", Integer, nullable=False),
    # copied from the recording, so that one index answers "the newest turns of this part"
    Column("part", Text, nullable=False),
    Column("stage", Text, nullable=False),
    Column("direction", Integer, nullable=False),
    # the recording's own time, also where it was put into the store years later
    Column("recorded", String(40), nullable=False),
    Column("samples", Integer, nullable=False),
    Column("gauge_values", Integer, nullable=False),
    Column("coverage", Double),
    Column("largest_gap_deg", Double),
    Column("rpm", Double),
    Column("tir_raw_mm", Double),
    Column("tir_fit_mm", Double),
    Column("tir_first_mm", Double),
    Column("high_point_deg", Double),
    Column("highest_order", Integer, nullable=False),
    Column("code_version", Text, nullable=False),
    Column("options", JSON, nullable=False),
    Column("numerics", Integer),
    # which mark its angles count from: equal only for turns that count from the same one
    Column("mark", Text),
    # copied like the part
    Column("job", Text),
    PrimaryKeyConstraint("id", name="turns_key"),
    ForeignKeyConstraint(
        ["recording_id", "edition"], ["analyses.recording_id", "analyses.edition"], name="turns_of_analysis"
    ),
    # No index begins with the edition alone: it fits every question, narrows none, and SQLite would take it.
    Index("turns_by_date", "edition", "recorded", "id"),
    Index("turns_by_part", "part", "edition", "recorded", "id"),
    Index("turns_by_stage", "part", "stage", "edition", "recorded", "id"),
    Index("turns_by_job", "job", "edition", "recorded", "id"),
    Index("turns_by_recording", "recording_id", "edition", "turn"),
    sqlite_autoincrement=True,  # people note these numbers down: none is ever given twice
)

turn_orders = Table(
    "turn_orders",
    metadata,
    Column("turn_id", Integer, nullable=False),
    Column("n", Integer, nullable=False),
    Column("cos_mm", Double, nullable=False),
    Column("sin_mm", Double, nullable=False),
    PrimaryKeyConstraint("turn_id", "n", name="turn_orders_key"),
    ForeignKeyConstraint(["turn_id"], ["turns.id"], name="turn_orders_of_turn"),
)

turn_notes = Table(
    "turn_notes",
    metadata,
    Column("id", Integer, nullable=False, autoincrement=True),
    Column("turn_id", Integer, nullable=False),
    # star, star-undone, left-out, left-out-undone: the newest of each pair holds
    Column("kind", String(16), nullable=False),
    Column("reason", Text, nullable=False),
    Column("recorded", String(40), nullable=False),
    Column("who", Text),
    PrimaryKeyConstraint("id", name="turn_notes_key"),
    ForeignKeyConstraint(["turn_id"], ["turns.id"], name="turn_notes_of_turn"),
    Index("turn_notes_by_turn", "turn_id", "id"),
    sqlite_autoincrement=True,
)

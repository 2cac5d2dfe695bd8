"""The tables of what an auditor asks: decisions, what was left out and by whom, conditions, notes, reports.

Units and times as in schema.py. Rows are added, never changed.
"""

from sqlalchemy import (
    JSON,
    Column,
    Double,
    ForeignKeyConstraint,
    Index,
    Integer,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
)

from analysis.store.metadata import metadata


def _of_analysis(name: str) -> ForeignKeyConstraint:
    return ForeignKeyConstraint(
        ["recording_id", "edition"], ["analyses.recording_id", "analyses.edition"], name=name
    )


decisions = Table(
    "decisions",
    metadata,
    Column("recording_id", String(36), nullable=False),
    Column("edition", Integer, nullable=False),
    Column("n", Integer, nullable=False),
    Column("quantity", String(16), nullable=False),
    Column("value_mm", Double),
    # with all lines of the budget, k = 1
    Column("u_mm", Double),
    Column("dof", Double),
    Column("low_mm", Double),
    Column("high_mm", Double),
    Column("limit_mm", Double),
    Column("limit_as_written", Text),
    Column("limit_source", Text),
    Column("rule", Text),
    Column("rule_text", Text),
    Column("guard_mm", Double),
    Column("state", String(16), nullable=False),
    Column("why", Text),
    Column("look", Integer),
    # looks planned; null where nobody planned
    Column("of_looks", Integer),
    Column("made", String(40), nullable=False),
    PrimaryKeyConstraint("recording_id", "edition", "n", name="decisions_key"),
    _of_analysis("decisions_of_analysis"),
    Index("decisions_by_state", "state", "made"),
)

left_out = Table(
    "left_out",
    metadata,
    Column("id", Integer, nullable=False, autoincrement=True),
    Column("recording_id", String(36), nullable=False),
    Column("edition", Integer, nullable=False),
    # null where it holds for every turn
    Column("turn", Integer),
    Column("from_deg", Double),
    Column("to_deg", Double),
    Column("reason", Text, nullable=False),
    Column("who", Text),
    Column("made", String(40)),
    Column("with_mm", Double),
    Column("without_mm", Double),
    PrimaryKeyConstraint("id", name="left_out_key"),
    _of_analysis("left_out_of_analysis"),
    Index("left_out_by_recording", "recording_id", "edition"),
    sqlite_autoincrement=True,
)

environment = Table(
    "environment",
    metadata,
    Column("recording_id", String(36), nullable=False),
    Column("at", String(40), nullable=False),
    # part, air, gauge
    Column("what", String(16), nullable=False),
    Column("celsius", Double, nullable=False),
    # typed, sensor
    Column("source", String(16), nullable=False),
    Column("gauge_id", Integer),
    PrimaryKeyConstraint("recording_id", "at", "what", name="environment_key"),
    ForeignKeyConstraint(["recording_id"], ["recordings.recording_id"], name="environment_of_recording"),
    ForeignKeyConstraint(["gauge_id"], ["gauges.gauge_id"], name="environment_by_gauge"),
)

notes = Table(
    "notes",
    metadata,
    Column("id", Integer, nullable=False, autoincrement=True),
    # part, job, recording, turn, gauge, report
    Column("about", String(16), nullable=False),
    Column("about_id", Text, nullable=False),
    Column("text", Text, nullable=False),
    Column("who", Text),
    Column("made", String(40), nullable=False),
    PrimaryKeyConstraint("id", name="notes_key"),
    Index("notes_by_subject", "about", "about_id", "id"),
    sqlite_autoincrement=True,
)

cautions = Table(
    "cautions",
    metadata,
    Column("id", Integer, nullable=False, autoincrement=True),
    # one of both
    Column("recording_id", String(36)),
    Column("job_id", Integer),
    Column("step", Text, nullable=False),
    Column("key", Text, nullable=False),
    Column("who", Text),
    Column("made", String(40), nullable=False),
    PrimaryKeyConstraint("id", name="cautions_key"),
    ForeignKeyConstraint(["recording_id"], ["recordings.recording_id"], name="cautions_of_recording"),
    ForeignKeyConstraint(["job_id"], ["jobs.job_id"], name="cautions_of_job"),
    sqlite_autoincrement=True,
)

series = Table(
    "series",
    metadata,
    Column("series_id", Integer, nullable=False, autoincrement=True),
    Column("every_s", Double),
    Column("for_s", Double),
    Column("began", String(40), nullable=False),
    Column("ended", String(40)),
    Column("why", Text),
    Column("done", Integer),
    Column("failed", Integer),
    PrimaryKeyConstraint("series_id", name="series_key"),
)

standards = Table(
    "standards",
    metadata,
    Column("standard_id", Integer, nullable=False, autoincrement=True),
    Column("part_id", Integer, nullable=False),
    Column("stage", Text, nullable=False),
    # recording ids
    Column("baseline", JSON, nullable=False),
    Column("n", Integer, nullable=False),
    Column("mean_cos_mm", Double, nullable=False),
    Column("mean_sin_mm", Double, nullable=False),
    Column("s_mm", Double, nullable=False),
    Column("dof", Double, nullable=False),
    Column("alpha", Double, nullable=False),
    Column("made", String(40), nullable=False),
    Column("who", Text),
    Column("replaces", Integer),
    PrimaryKeyConstraint("standard_id", name="standards_key"),
    ForeignKeyConstraint(["part_id"], ["parts.part_id"], name="standards_of_part"),
    ForeignKeyConstraint(["replaces"], ["standards.standard_id"], name="standards_replace"),
)

studies = Table(
    "studies",
    metadata,
    Column("study_id", Integer, nullable=False, autoincrement=True),
    Column("title", Text, nullable=False),
    Column("design", JSON, nullable=False),
    Column("rule", JSON, nullable=False),
    Column("rule_sha256", String(64), nullable=False),
    Column("seed", Integer),
    Column("fixed_at", String(40), nullable=False),
    PrimaryKeyConstraint("study_id", name="studies_key"),
)

study_runs = Table(
    "study_runs",
    metadata,
    Column("study_id", Integer, nullable=False),
    Column("run", Integer, nullable=False),
    Column("part", Text),
    Column("operator", Text),
    Column("mounting", Text),
    Column("trial", Integer),
    Column("recording_id", String(36)),
    Column("edition", Integer),
    # why it does not count; null where it does
    Column("left_out", Text),
    PrimaryKeyConstraint("study_id", "run", name="study_runs_key"),
    ForeignKeyConstraint(["study_id"], ["studies.study_id"], name="study_runs_of_study"),
    _of_analysis("study_runs_of_analysis"),
)

reports = Table(
    "reports",
    metadata,
    # as 2026-0147
    Column("number", String(16), nullable=False),
    # page, lab, batch, dcc
    Column("kind", String(16), nullable=False),
    Column("issued", String(40), nullable=False),
    Column("who", Text),
    Column("amends", String(16)),
    Column("reason", Text),
    # recording_id, edition, sha256 of each
    Column("contents", JSON, nullable=False),
    Column("file", Text),
    Column("sha256", String(64)),
    PrimaryKeyConstraint("number", name="reports_key"),
    ForeignKeyConstraint(["amends"], ["reports.number"], name="reports_amend"),
)

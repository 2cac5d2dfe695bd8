"""The tables of the register: which parts, jobs, operators and gauges there are.

Rows are added, never changed. Units and times as in schema.py.
"""

from sqlalchemy import (
    Column,
    Double,
    ForeignKeyConstraint,
    Index,
    Integer,
    PrimaryKeyConstraint,
    String,
    Table,
    Text,
    UniqueConstraint,
)

from analysis.store.metadata import metadata

parts = Table(
    "parts",
    metadata,
    Column("part_id", Integer, nullable=False, autoincrement=True),
    Column("number", Text, nullable=False),
    # empty where parts of one number are not told apart
    Column("serial", Text, nullable=False),
    Column("name", Text),
    Column("drawing", Text),
    Column("customer", Text),
    PrimaryKeyConstraint("part_id", name="parts_key"),
    UniqueConstraint("number", "serial", name="parts_once"),
)

jobs = Table(
    "jobs",
    metadata,
    Column("job_id", Integer, nullable=False, autoincrement=True),
    Column("number", Text, nullable=False),
    Column("customer", Text),
    Column("contact", Text),
    Column("received", String(40)),
    Column("condition", Text),
    Column("place", Text),
    Column("closed", String(40)),
    PrimaryKeyConstraint("job_id", name="jobs_key"),
    UniqueConstraint("number", name="jobs_once"),
)

operators = Table(
    "operators",
    metadata,
    # initials, never names: a name is typed on paper
    Column("initials", Text, nullable=False),
    # measure, review, authorise, with commas
    Column("may", Text),
    PrimaryKeyConstraint("initials", name="operators_key"),
)

gauges = Table(
    "gauges",
    metadata,
    # a new calibration is a new row
    Column("gauge_id", Integer, nullable=False, autoincrement=True),
    # as written on it
    Column("id", Text, nullable=False),
    # indicator, encoder, thermometer, standard
    Column("kind", String(16), nullable=False),
    Column("serial", Text),
    Column("certificate", Text),
    Column("certified", String(40)),
    Column("due", String(40)),
    Column("error_mm", Double),
    # range over which the error holds; null = any
    Column("error_span_mm", Double),
    # limits, U95, u
    Column("error_means", String(16)),
    Column("resolution_mm", Double),
    # its certificate's table as a set-up has it
    Column("table_json", Text),
    # gauge_id of the row before
    Column("replaces", Integer),
    Column("added", String(40), nullable=False),
    Column("who", Text),
    # register: typed as a gauge; set-up: known only from recordings that name it
    Column("source", String(16), nullable=False),
    PrimaryKeyConstraint("gauge_id", name="gauges_key"),
    ForeignKeyConstraint(["replaces"], ["gauges.gauge_id"], name="gauges_replace"),
    Index("gauges_by_id", "id", "kind", "gauge_id"),
)

"""Version 4: what an auditor asks: parts, jobs, operators, gauges, decisions, what was left out, and more.

What earlier versions kept only inside two JSON columns is told in columns, where it can be told.

Append-only: this file is never changed, the next version is the next file.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import sqlalchemy as sa
from alembic import op

from analysis.store.said_by_result import analysis_columns, decision_columns, left_out_columns
from analysis.store.said_by_setup import said_by_setup

revision = "0004"
down_revision = "0003"

PAGE = 500
"""So many recordings are read at a time."""
WRITTEN = ("recordings", "analyses", "decisions", "left_out")
"""Tables that are written from them, those first that others belong to."""
IDENTITIES = {"parts": "part_id", "jobs": "job_id", "gauges": "gauge_id"}
OF_RECORDINGS = (
    ("part_id", "INTEGER REFERENCES parts (part_id)"),
    ("job_id", "INTEGER REFERENCES jobs (job_id)"),
    ("gauge_id", "INTEGER REFERENCES gauges (gauge_id)"),
    ("encoder_id", "INTEGER REFERENCES gauges (gauge_id)"),
    ("operator", "TEXT"),
    ("bench", "TEXT"),
    ("board_serial", "TEXT"),
    ("firmware", "TEXT"),
    ("channel", "TEXT"),
    ("ended_at", "VARCHAR(40)"),
    ("bytes", "BIGINT"),
    ("practice", "BOOLEAN"),
    ("series_id", "INTEGER REFERENCES series (series_id)"),
    ("place", "TEXT"),
)
OF_ANALYSES = (
    ("made", sa.String(40)),
    ("who", sa.Text),
    ("why", sa.Text),
    ("replaces", sa.Integer),
    ("blas_threads", sa.Integer),
    ("quantity", sa.String(16)),
    ("value_mm", sa.Double),
    ("u_mm", sa.Double),
    ("dof", sa.Double),
    ("low_mm", sa.Double),
    ("high_mm", sa.Double),
    ("tir_raw_mm", sa.Double),
    ("tir_first_mm", sa.Double),
    ("first_cos_mm", sa.Double),
    ("first_sin_mm", sa.Double),
    ("high_point_deg", sa.Double),
    ("turns_used", sa.Integer),
    ("result_sha256", sa.String(64)),
)


def upgrade() -> None:
    """Make the tables, add the columns, and tell in them what the JSON columns hold."""
    _make_register()
    _make_evidence()
    _make_studies()
    for name, kind in OF_RECORDINGS:
        # as text: SQLite takes a key of another table only together with its column
        op.execute(f"ALTER TABLE recordings ADD COLUMN {name} {kind}")
    for name, of_type in OF_ANALYSES:
        op.add_column("analyses", sa.Column(name, of_type))
    op.add_column("turns", sa.Column("job", sa.Text))
    op.add_column("turn_notes", sa.Column("who", sa.Text))
    _tell(op.get_bind())


def _of_analysis(name: str) -> sa.ForeignKeyConstraint:
    return sa.ForeignKeyConstraint(
        ["recording_id", "edition"], ["analyses.recording_id", "analyses.edition"], name=name
    )


def _make_register() -> None:
    op.create_table(
        "parts",
        sa.Column("part_id", sa.Integer, nullable=False, autoincrement=True),
        sa.Column("number", sa.Text, nullable=False),
        sa.Column("serial", sa.Text, nullable=False),
        sa.Column("name", sa.Text),
        sa.Column("drawing", sa.Text),
        sa.Column("customer", sa.Text),
        sa.PrimaryKeyConstraint("part_id", name="parts_key"),
        sa.UniqueConstraint("number", "serial", name="parts_once"),
    )
    op.create_table(
        "jobs",
        sa.Column("job_id", sa.Integer, nullable=False, autoincrement=True),
        sa.Column("number", sa.Text, nullable=False),
        sa.Column("customer", sa.Text),
        sa.Column("contact", sa.Text),
        sa.Column("received", sa.String(40)),
        sa.Column("condition", sa.Text),
        sa.Column("place", sa.Text),
        sa.Column("closed", sa.String(40)),
        sa.PrimaryKeyConstraint("job_id", name="jobs_key"),
        sa.UniqueConstraint("number", name="jobs_once"),
    )
    op.create_table(
        "operators",
        sa.Column("initials", sa.Text, nullable=False),
        sa.Column("may", sa.Text),
        sa.PrimaryKeyConstraint("initials", name="operators_key"),
    )
    op.create_table(
        "gauges",
        sa.Column("gauge_id", sa.Integer, nullable=False, autoincrement=True),
        sa.Column("id", sa.Text, nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("serial", sa.Text),
        sa.Column("certificate", sa.Text),
        sa.Column("certified", sa.String(40)),
        sa.Column("due", sa.String(40)),
        sa.Column("error_mm", sa.Double),
        sa.Column("error_span_mm", sa.Double),
        sa.Column("error_means", sa.String(16)),
        sa.Column("resolution_mm", sa.Double),
        sa.Column("table_json", sa.Text),
        sa.Column("replaces", sa.Integer),
        sa.Column("added", sa.String(40), nullable=False),
        sa.Column("who", sa.Text),
        sa.Column("source", sa.String(16), nullable=False),
        sa.PrimaryKeyConstraint("gauge_id", name="gauges_key"),
        sa.ForeignKeyConstraint(["replaces"], ["gauges.gauge_id"], name="gauges_replace"),
    )


def _make_evidence() -> None:
    op.create_table(
        "decisions",
        sa.Column("recording_id", sa.String(36), nullable=False),
        sa.Column("edition", sa.Integer, nullable=False),
        sa.Column("n", sa.Integer, nullable=False),
        sa.Column("quantity", sa.String(16), nullable=False),
        sa.Column("value_mm", sa.Double),
        sa.Column("u_mm", sa.Double),
        sa.Column("dof", sa.Double),
        sa.Column("low_mm", sa.Double),
        sa.Column("high_mm", sa.Double),
        sa.Column("limit_mm", sa.Double),
        sa.Column("limit_as_written", sa.Text),
        sa.Column("limit_source", sa.Text),
        sa.Column("rule", sa.Text),
        sa.Column("rule_text", sa.Text),
        sa.Column("guard_mm", sa.Double),
        sa.Column("state", sa.String(16), nullable=False),
        sa.Column("why", sa.Text),
        sa.Column("look", sa.Integer),
        sa.Column("of_looks", sa.Integer),
        sa.Column("made", sa.String(40), nullable=False),
        sa.PrimaryKeyConstraint("recording_id", "edition", "n", name="decisions_key"),
        _of_analysis("decisions_of_analysis"),
    )
    op.create_table(
        "left_out",
        sa.Column("id", sa.Integer, nullable=False, autoincrement=True),
        sa.Column("recording_id", sa.String(36), nullable=False),
        sa.Column("edition", sa.Integer, nullable=False),
        sa.Column("turn", sa.Integer),
        sa.Column("from_deg", sa.Double),
        sa.Column("to_deg", sa.Double),
        sa.Column("reason", sa.Text, nullable=False),
        sa.Column("who", sa.Text),
        sa.Column("made", sa.String(40)),
        sa.Column("with_mm", sa.Double),
        sa.Column("without_mm", sa.Double),
        sa.PrimaryKeyConstraint("id", name="left_out_key"),
        _of_analysis("left_out_of_analysis"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "environment",
        sa.Column("recording_id", sa.String(36), nullable=False),
        sa.Column("at", sa.String(40), nullable=False),
        sa.Column("what", sa.String(16), nullable=False),
        sa.Column("celsius", sa.Double, nullable=False),
        sa.Column("source", sa.String(16), nullable=False),
        sa.Column("gauge_id", sa.Integer),
        sa.PrimaryKeyConstraint("recording_id", "at", "what", name="environment_key"),
        sa.ForeignKeyConstraint(
            ["recording_id"], ["recordings.recording_id"], name="environment_of_recording"
        ),
        sa.ForeignKeyConstraint(["gauge_id"], ["gauges.gauge_id"], name="environment_by_gauge"),
    )
    op.create_table(
        "notes",
        sa.Column("id", sa.Integer, nullable=False, autoincrement=True),
        sa.Column("about", sa.String(16), nullable=False),
        sa.Column("about_id", sa.Text, nullable=False),
        sa.Column("text", sa.Text, nullable=False),
        sa.Column("who", sa.Text),
        sa.Column("made", sa.String(40), nullable=False),
        sa.PrimaryKeyConstraint("id", name="notes_key"),
        sqlite_autoincrement=True,
    )
    op.create_table(
        "cautions",
        sa.Column("id", sa.Integer, nullable=False, autoincrement=True),
        sa.Column("recording_id", sa.String(36)),
        sa.Column("job_id", sa.Integer),
        sa.Column("step", sa.Text, nullable=False),
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("who", sa.Text),
        sa.Column("made", sa.String(40), nullable=False),
        sa.PrimaryKeyConstraint("id", name="cautions_key"),
        sa.ForeignKeyConstraint(["recording_id"], ["recordings.recording_id"], name="cautions_of_recording"),
        sa.ForeignKeyConstraint(["job_id"], ["jobs.job_id"], name="cautions_of_job"),
        sqlite_autoincrement=True,
    )


def _make_studies() -> None:
    op.create_table(
        "series",
        sa.Column("series_id", sa.Integer, nullable=False, autoincrement=True),
        sa.Column("every_s", sa.Double),
        sa.Column("for_s", sa.Double),
        sa.Column("began", sa.String(40), nullable=False),
        sa.Column("ended", sa.String(40)),
        sa.Column("why", sa.Text),
        sa.Column("done", sa.Integer),
        sa.Column("failed", sa.Integer),
        sa.PrimaryKeyConstraint("series_id", name="series_key"),
    )
    op.create_table(
        "standards",
        sa.Column("standard_id", sa.Integer, nullable=False, autoincrement=True),
        sa.Column("part_id", sa.Integer, nullable=False),
        sa.Column("stage", sa.Text, nullable=False),
        sa.Column("baseline", sa.JSON, nullable=False),
        sa.Column("n", sa.Integer, nullable=False),
        sa.Column("mean_cos_mm", sa.Double, nullable=False),
        sa.Column("mean_sin_mm", sa.Double, nullable=False),
        sa.Column("s_mm", sa.Double, nullable=False),
        sa.Column("dof", sa.Double, nullable=False),
        sa.Column("alpha", sa.Double, nullable=False),
        sa.Column("made", sa.String(40), nullable=False),
        sa.Column("who", sa.Text),
        sa.Column("replaces", sa.Integer),
        sa.PrimaryKeyConstraint("standard_id", name="standards_key"),
        sa.ForeignKeyConstraint(["part_id"], ["parts.part_id"], name="standards_of_part"),
        sa.ForeignKeyConstraint(["replaces"], ["standards.standard_id"], name="standards_replace"),
    )
    op.create_table(
        "studies",
        sa.Column("study_id", sa.Integer, nullable=False, autoincrement=True),
        sa.Column("title", sa.Text, nullable=False),
        sa.Column("design", sa.JSON, nullable=False),
        sa.Column("rule", sa.JSON, nullable=False),
        sa.Column("rule_sha256", sa.String(64), nullable=False),
        sa.Column("seed", sa.Integer),
        sa.Column("fixed_at", sa.String(40), nullable=False),
        sa.PrimaryKeyConstraint("study_id", name="studies_key"),
    )
    op.create_table(
        "study_runs",
        sa.Column("study_id", sa.Integer, nullable=False),
        sa.Column("run", sa.Integer, nullable=False),
        sa.Column("part", sa.Text),
        sa.Column("operator", sa.Text),
        sa.Column("mounting", sa.Text),
        sa.Column("trial", sa.Integer),
        sa.Column("recording_id", sa.String(36)),
        sa.Column("edition", sa.Integer),
        sa.Column("left_out", sa.Text),
        sa.PrimaryKeyConstraint("study_id", "run", name="study_runs_key"),
        sa.ForeignKeyConstraint(["study_id"], ["studies.study_id"], name="study_runs_of_study"),
        _of_analysis("study_runs_of_analysis"),
    )
    op.create_table(
        "reports",
        sa.Column("number", sa.String(16), nullable=False),
        sa.Column("kind", sa.String(16), nullable=False),
        sa.Column("issued", sa.String(40), nullable=False),
        sa.Column("who", sa.Text),
        sa.Column("amends", sa.String(16)),
        sa.Column("reason", sa.Text),
        sa.Column("contents", sa.JSON, nullable=False),
        sa.Column("file", sa.Text),
        sa.Column("sha256", sa.String(64)),
        sa.PrimaryKeyConstraint("number", name="reports_key"),
        sa.ForeignKeyConstraint(["amends"], ["reports.number"], name="reports_amend"),
    )


# --- what is told of rows that are there ---------------------------------------------------------------


def _table(name: str, *columns: str) -> sa.TableClause:
    return sa.table(name, *map(sa.column, columns))


def _recorded(connection: sa.Connection) -> Iterator[Sequence[Any]]:
    """Yield every recording with the analysis made while recording, a page at a time."""
    rec = _table("recordings", "recording_id", "started", "part", "job", "setup")
    ana = _table("analyses", "recording_id", "edition", "result")
    after = ""
    while True:
        rows = connection.execute(
            sa.select(
                *(rec.c[name] for name in ("recording_id", "started", "part", "job")),
                sa.cast(rec.c.setup, sa.Text).label("setup"),
                sa.cast(ana.c.result, sa.Text).label("result"),
            )
            .join_from(rec, ana, (rec.c.recording_id == ana.c.recording_id) & (ana.c.edition == 0))
            .where(rec.c.recording_id > after)
            .order_by(rec.c.recording_id)
            .limit(PAGE)
        ).all()
        if not rows:
            return
        yield rows
        after = rows[-1].recording_id


def _tell(connection: sa.Connection) -> None:
    known = _Known(connection)
    for page in _recorded(connection):
        said_of: dict[str, list[dict[str, Any]]] = {name: [] for name in WRITTEN}
        for row in page:
            _tell_of(row, known, said_of)
        for name, rows in said_of.items():
            # Rows of one table have the same columns: each statement is made once a page.
            if rows and name in ("recordings", "analyses"):
                _update(connection, name, rows)
            elif rows:
                connection.execute(_table(name, *rows[0]).insert(), rows)
    job_of_recording = "(SELECT job FROM recordings WHERE recordings.recording_id = turns.recording_id)"
    connection.execute(sa.text(f"UPDATE turns SET job = {job_of_recording}"))


def _tell_of(row: Any, known: "_Known", said_of: Mapping[str, list[dict[str, Any]]]) -> None:
    """Add what one recording says to the rows that are written next."""
    said, result = said_by_setup(_object(row.setup), row.part, row.job), _object(row.result)
    if said.operator is not None:
        known.key("operators", {"initials": said.operator})
    gauge = said.gauge and {"added": row.started, "who": said.operator, "source": "set-up", **said.gauge}
    said_of["recordings"].append(
        {
            "recording_id": row.recording_id,
            "part_id": known.key("parts", said.part),
            "job_id": known.key("jobs", said.job),
            "gauge_id": known.key("gauges", gauge, said.gauge),
            **{name: said.recording[name] for name in ("operator", "bench", "place", "channel")},
        }
    )
    of_recording = {"recording_id": row.recording_id, "edition": 0}
    said_of["analyses"].append(
        {
            **of_recording,
            "who": said.operator,
            "why": "stored by an earlier version",
            **analysis_columns(result),
        }
    )
    said_of["decisions"] += [
        {**of_recording, **one}
        for one in decision_columns(result, made=row.started, limit_source=said.limit_source)
    ]
    said_of["left_out"] += [
        {**of_recording, **one} for one in left_out_columns(result, who=said.operator, made=row.started)
    ]


def _object(text: str | None) -> dict[str, Any]:
    """Return a JSON object; an empty one where none was stored, or what was stored is damaged."""
    try:
        found = json.loads(text or "{}")
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}


def _update(connection: sa.Connection, name: str, rows: Sequence[Mapping[str, Any]]) -> None:
    table = _table(name, *rows[0])
    keys = [key for key in ("recording_id", "edition") if key in rows[0]]
    statement = table.update().values({key: sa.bindparam(f"new_{key}") for key in rows[0] if key not in keys})
    for key in keys:
        statement = statement.where(table.c[key] == sa.bindparam(f"new_{key}"))
    connection.execute(statement, [{f"new_{key}": value for key, value in row.items()} for row in rows])


class _Known:
    """Rows that were added, by what tells one from another."""

    def __init__(self, connection: sa.Connection) -> None:
        self._connection = connection
        self._keys: dict[tuple[Any, ...], int | None] = {}

    def key(
        self, name: str, values: Mapping[str, Any] | None, known_by: Mapping[str, Any] | None = None
    ) -> int | None:
        """Return the number of a row, adding it where there is none of these values yet."""
        if values is None:
            return None
        what = (name, *(known_by or values).items())
        if what not in self._keys:
            table = _table(name, *values)
            self._connection.execute(table.insert().values(**values))
            self._keys[what] = self._newest(name)
        return self._keys[what]

    def _newest(self, name: str) -> int | None:
        identity = IDENTITIES.get(name)
        if identity is None:
            return None
        # nobody else adds to these tables: they were made in this very transaction
        return self._connection.execute(sa.text(f"SELECT max({identity}) FROM {name}")).scalar()

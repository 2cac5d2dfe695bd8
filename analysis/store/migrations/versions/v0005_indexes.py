"""Version 5: an index for every question that is asked; none that begins with the edition alone.

Append-only: this file is never changed, the next version is the next file.
"""

from alembic import op

revision = "0005"
down_revision = "0004"

GONE = ("turns_by_edition", "turns_by_part")
MADE = (
    ("turns_by_date", "turns", ["edition", "recorded", "id"]),
    ("turns_by_part", "turns", ["part", "edition", "recorded", "id"]),
    ("turns_by_stage", "turns", ["part", "stage", "edition", "recorded", "id"]),
    ("turns_by_job", "turns", ["job", "edition", "recorded", "id"]),
    ("recordings_by_part", "recordings", ["part", "started"]),
    ("recordings_by_part_row", "recordings", ["part_id", "started"]),
    ("recordings_by_job", "recordings", ["job_id", "started"]),
    ("recordings_by_gauge", "recordings", ["gauge_id", "started"]),
    ("recordings_by_series", "recordings", ["series_id"]),
    ("recordings_by_sha256", "recordings", ["sha256"]),
    ("analyses_by_state", "analyses", ["state", "recording_id"]),
    ("decisions_by_state", "decisions", ["state", "made"]),
    ("left_out_by_recording", "left_out", ["recording_id", "edition"]),
    ("notes_by_subject", "notes", ["about", "about_id", "id"]),
    ("gauges_by_id", "gauges", ["id", "kind", "gauge_id"]),
)


def upgrade() -> None:
    """Take away the two that helped the wrong way, and make the others."""
    for name in GONE:
        op.drop_index(name, table_name="turns")
    for name, table, columns in MADE:
        op.create_index(name, table, columns)

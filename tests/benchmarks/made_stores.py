"""A store of any size, filled with the database's own means: invented rows, as many as are asked for."""

import sqlite3
from contextlib import closing
from pathlib import Path


def fill(path: Path, *, recordings: int, turns: int) -> None:
    """Put so many recordings and turns of ten parts and twenty jobs into a store, with the database's own means."""
    with closing(sqlite3.connect(path)) as database, database:
        counting = "WITH RECURSIVE n(k) AS (SELECT 0 UNION ALL SELECT k + 1 FROM n WHERE k < ?) "
        at = "'2026-' || printf('%02d-%02dT%02d:00:00Z', 1 + k / 672 % 12, 1 + k / 24 % 28, k % 24)"
        part, job = "'part ' || (k % 10)", "'job ' || (k % 20)"
        database.execute(counting + "INSERT INTO parts (number, serial) SELECT 'part ' || k, '' FROM n", (9,))
        database.execute(counting + "INSERT INTO jobs (number) SELECT 'job ' || k FROM n", (19,))
        database.execute(
            counting + "INSERT INTO gauges (id, kind, added, source) "
            "SELECT 'gauge ' || k, 'indicator', '2026-01-01T00:00:00Z', 'register' FROM n",
            (4,),
        )
        first_part, first_job, first_gauge = (
            database.execute(f"SELECT {key} FROM {table} WHERE {name} LIKE '% 0'").fetchone()[0]
            for table, key, name in (
                ("parts", "part_id", "number"),
                ("jobs", "job_id", "number"),
                ("gauges", "gauge_id", "id"),
            )
        )
        setup = '{"part": "flange", "limit": "0.050 mm"}'
        database.execute(
            counting
            + "INSERT INTO recordings (recording_id, file, started, part, job, stage, surface, setup, "
            "code_version, sha256, closed, ended, part_id, job_id, gauge_id) "
            f"SELECT printf('filled-%08d', k), 'a.mcap', {at}, {part}, {job}, 'as found', 'face', ?, '0', "
            "printf('%064d', k), 1, 'closed', ? + k % 10, ? + k % 20, ? + k % 5 FROM n",
            (recordings - 1, setup, first_part, first_job, first_gauge),
        )
        database.execute(
            counting + "INSERT INTO analyses (recording_id, edition, code_version, options, state) "
            "SELECT printf('filled-%08d', k), 0, '0', '{}', CASE k % 3 WHEN 0 THEN 'over' ELSE 'within' END FROM n",
            (recordings - 1,),
        )
        database.execute(
            counting + "INSERT INTO decisions (recording_id, edition, n, quantity, state, made) "
            f"SELECT printf('filled-%08d', k), 0, 0, 'tir', CASE k % 3 WHEN 0 THEN 'over' ELSE 'within' END, {at} FROM n",
            (recordings - 1,),
        )
        database.execute(
            counting + "INSERT INTO left_out (recording_id, edition, from_deg, to_deg, reason) "
            "SELECT printf('filled-%08d', k), 0, 1, 2, 'chip' FROM n",
            (recordings - 1,),
        )
        each = max(1, turns // recordings)
        whole = "k / ?1"
        database.execute(
            counting.replace("?", "?2")
            + "INSERT INTO turns (recording_id, edition, turn, part, job, stage, direction, recorded, samples, "
            "gauge_values, tir_fit_mm, high_point_deg, highest_order, code_version, options) "
            f"SELECT printf('filled-%08d', {whole}), 0, k % ?1, 'part ' || ({whole} % 10), 'job ' || ({whole} % 20), "
            f"'as found', 1, {at.replace('k /', whole + ' /').replace('k %', whole + ' %')}, 360, 300, 0.1, 50.0, 15, "
            "'0', '{}' FROM n",
            (each, turns - 1),
        )
        database.execute(
            "WITH RECURSIVE n(k) AS (SELECT 1 UNION ALL SELECT k + 1 FROM n WHERE k < 15) "
            "INSERT INTO turn_orders (turn_id, n, cos_mm, sin_mm) SELECT id, k, 0.1 / k, -0.1 / k FROM turns, n "
            "WHERE recording_id LIKE 'filled-%'"
        )

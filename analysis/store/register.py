"""The register in use: gauges with their certificates, parts with serials, jobs.

Rows are added, never changed.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any

from analysis.errors import StoreError
from analysis.store import queries
from analysis.store.database import Database
from analysis.store.plain import plain_text
from analysis.store.register_rows import GaugeEntry, GaugeUse, JobEntry, PartEntry, SweepEntry
from analysis.store.register_writing import REGISTER, added
from analysis.store.schema_of_register import gauges, jobs, parts


class Register:
    """The register of one store, from ``Store.register``. Every failure is a StoreError."""

    def __init__(self, database: Database) -> None:
        self._database = database

    # --- gauges ---------------------------------------------------------------------------------------

    def add_gauge(self, entry: GaugeEntry) -> GaugeEntry:
        """Add a calibration; one of the same gauge that is there stays, and is replaced from now on."""
        values = asdict(entry)
        table = values.pop("table_mm")
        values["table_json"] = json.dumps(table) if table else None
        with self._database.writing("adding a gauge", finds_or_adds=True) as connection:
            before = connection.execute(
                queries.gauge_rows(plain_text(entry.id), plain_text(entry.kind))
            ).first()
            del values["gauge_id"]
            values |= {"replaces": before.gauge_id if before else None, "source": REGISTER}
            key = added(connection, gauges, values)
        return replace(entry, gauge_id=key, replaces=values["replaces"], source=REGISTER)

    def gauges(self) -> list[GaugeEntry]:
        """Return every calibration of every gauge, the newest of each last."""
        with self._database.reading("reading the gauges") as connection:
            return [_gauge(row) for row in connection.execute(queries.all_gauges())]

    def calibrations(self, name: str, kind: str = "indicator") -> list[tuple[GaugeEntry, GaugeUse]]:
        """Return every calibration of one gauge, newest first, with how often it was used."""
        with self._database.reading("reading a gauge") as connection:
            rows = connection.execute(queries.gauge_rows(plain_text(name), kind)).all()
            return [
                (
                    _gauge(row),
                    GaugeUse(*connection.execute(queries.recordings_by_gauge(row.gauge_id)).one()),
                )
                for row in rows
            ]

    # --- parts and jobs -------------------------------------------------------------------------------

    def add_part(self, entry: PartEntry) -> PartEntry:
        """Add a part. Raises StoreError where it is there already."""
        with self._database.writing("adding a part", finds_or_adds=True) as connection:
            number, serial = plain_text(entry.number), plain_text(entry.serial)
            if connection.execute(queries.part_row(number, serial)).first() is not None:
                of_serial = f" with serial {serial!r}" if serial else " without a serial"
                raise StoreError(
                    f"store {self._database.name!r}: found part {number!r}{of_serial}, expected one that is "
                    "not there yet: rows are never changed; give its serial, or note what is new on paper"
                )
            key = added(connection, parts, _columns(entry, "part_id"))
        return replace(entry, part_id=key)

    def parts(self) -> list[PartEntry]:
        """Return every part by number and serial."""
        with self._database.reading("reading the parts") as connection:
            return [PartEntry(**row._mapping) for row in connection.execute(queries.all_parts())]

    def parts_of_number(self, number: str) -> list[tuple[PartEntry, list[SweepEntry]]]:
        """Return the parts of one number, each with its recordings, newest first."""
        with self._database.reading("reading a part") as connection:
            return [
                (
                    PartEntry(**row._mapping),
                    [SweepEntry(*one) for one in connection.execute(queries.sweeps_of_part(row.part_id))],
                )
                for row in connection.execute(queries.parts_of_number(plain_text(number))).all()
            ]

    def add_job(self, entry: JobEntry) -> JobEntry:
        """Add a job. Raises StoreError where it is there already."""
        with self._database.writing("adding a job", finds_or_adds=True) as connection:
            if connection.execute(queries.job_row(plain_text(entry.number))).first() is not None:
                raise StoreError(
                    f"store {self._database.name!r}: found job {entry.number!r}, expected one that is not "
                    "there yet: rows are never changed; take another number"
                )
            key = added(connection, jobs, _columns(entry, "job_id"))
        return replace(entry, job_id=key)

    def jobs(self) -> list[JobEntry]:
        """Return every job by number."""
        with self._database.reading("reading the jobs") as connection:
            return [JobEntry(**row._mapping) for row in connection.execute(queries.all_jobs())]

    def job(self, number: str) -> tuple[JobEntry, list[SweepEntry]] | None:
        """Return one job with its recordings, newest first; None where it is not there."""
        with self._database.reading("reading a job") as connection:
            row = connection.execute(queries.job_row(plain_text(number))).first()
            if row is None:
                return None
            sweeps = connection.execute(queries.sweeps_of_job(row.job_id))
            return JobEntry(**row._mapping), [SweepEntry(*one) for one in sweeps]


def _columns(entry: PartEntry | JobEntry, key: str) -> Mapping[str, Any]:
    return {name: value for name, value in asdict(entry).items() if name not in (key, "recordings", "last")}


def _gauge(row: Any) -> GaugeEntry:
    values = dict(row._mapping)
    table = json.loads(values.pop("table_json") or "[]")
    return GaugeEntry(**values, table_mm=tuple((reading, error) for reading, error in table))

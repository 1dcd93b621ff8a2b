"""Puts one job into a store: all that is new of it, nothing over what is there."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import BinaryIO

from sqlalchemy import Connection, Table, delete, insert, select

from courtwright.errors import ConflictError, EnvelopeError
from courtwright.says import say
from courtwright.store import tables
from courtwright.store.blobs import digest
from courtwright.store.bundle import contents
from courtwright.store.bundle.filled import filled
from courtwright.store.bundle.lines import Row, line_of
from courtwright.store.bundle.raised import of_this_release
from courtwright.store.bundle.reader import Bundle
from courtwright.store.columns import METADATA
from courtwright.store.hand import Hand
from courtwright.store.opened import Store
from courtwright.store.unit import Unit
from courtwright.store.walk.document import merged

_AT_ONCE = 500
#: Counts the rows of one store's ledger, and means nothing in another.
_NUMBER = frozenset({"seq"})


@dataclass(frozen=True, slots=True)
class Unpacked:
    """What came of a bundle.

    Parameters
    ----------
    job_id, name : str
        Of the job.
    is_new : bool
        Whether the job was not there before.
    added : mapping
        Number of new rows by table; empty where all was there already. [-]
    missing : tuple of str
        Kept files that the bundle lacks, by SHA-256.
    """

    job_id: str
    name: str
    is_new: bool
    added: Mapping[str, int]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class JobBundle:
    """A bundle of one job, checked whole.

    Parameters
    ----------
    bundle : Bundle
        The open file.
    rows : mapping
        By table, in the form of this release.
    """

    bundle: Bundle
    rows: Mapping[str, list[Row]] = field(repr=False)

    @property
    def job(self) -> Row:
        """The job's own row."""
        return self.rows["job"][0]


def read_job(handle: BinaryIO, where: str) -> JobBundle:
    """Read a bundle of one job and check all of it.

    Parameters
    ----------
    handle : BinaryIO
        The file; it stays open as long as the bundle is used.
    where : str
        Its name.

    Raises
    ------
    InputError
        If it is no bundle of a job, of a newer form, damaged, or holds what does not belong to one job.
    """
    bundle = Bundle(handle, where, "job")
    bundle.check()
    with of_this_release(bundle) as source:
        rows = {table.name: [dict(row) for row in source.rows(table)] for table in contents.OF_A_JOB}
    for name in bundle.tables():
        if name in METADATA.tables and name not in rows:
            raise bundle.broken("not-of-job", table=name)
    _check(bundle, rows)
    return JobBundle(bundle, rows)


# --- does it belong together? ---------------------------------------------------------------------


def _check(bundle: Bundle, rows: Mapping[str, list[Row]]) -> None:
    jobs = [row.get("id") for row in rows["job"]]
    if len(jobs) != 1 or jobs[0] != bundle.manifest.job:
        raise bundle.broken("not-of-job", table="job")
    for table in contents.OF_A_JOB:
        for number, row in enumerate(rows[table.name], 1):
            _require_columns(bundle, table, row, number)
    _check_branches(bundle, rows)
    _check_history(bundle, rows)
    _check_updates(bundle, rows["walk_update"])


def _require_columns(bundle: Bundle, table: Table, row: Row, number: int) -> None:
    left_out = contents.left_out(table)
    for column in table.columns:
        if not column.nullable and column.name not in row and column.name not in left_out:
            raise bundle.broken("row", table=table.name, number=number)


def _check_branches(bundle: Bundle, rows: Mapping[str, list[Row]]) -> None:
    """Refuse rows that hang on another job, person or walk than those of the bundle, and ids that come twice."""
    ids = {name: [row["id"] for row in of if "id" in row] for name, of in rows.items() if name not in _LEDGERS}
    for name, of in ids.items():
        if len(of) != len(set(of)):
            raise bundle.broken("not-of-job", table=name)
    known = {name: set(of) for name, of in ids.items()}
    for table, _, _ in contents.BRANCHES:
        leads = [(key.parent.name, key.column.table.name) for key in table.foreign_keys]
        for row in rows[table.name]:
            for column, parent in leads:
                if row.get(column) is not None and row[column] not in known.get(parent, ()):
                    raise bundle.broken("not-of-job", table=table.name)


_LEDGERS = frozenset(table.name for table in contents.HISTORY)


def _check_history(bundle: Bundle, rows: Mapping[str, list[Row]]) -> None:
    known = {(name, row["id"]) for name, of in rows.items() if name not in _LEDGERS for row in of if "id" in row}
    ids = {id for _, id in known}
    if any((row["record"], row["id"]) not in known for row in rows["change"]):
        raise bundle.broken("not-of-job", table="change")
    if any(row["about"] not in ids for row in rows["event"]):
        raise bundle.broken("not-of-job", table="event")


def _check_updates(bundle: Bundle, updates: Iterable[Row]) -> None:
    """Refuse updates that are not what their hash says, or that no document takes."""
    by_walk: dict[str, list[bytes]] = {}
    for number, row in enumerate(updates, 1):
        if digest(row["body"]) != row["sha256"]:
            raise bundle.broken("row", table="walk_update", number=number)
        by_walk.setdefault(row["walk_id"], []).append(row["body"])
    for bodies in by_walk.values():
        try:
            merged(bodies)
        except EnvelopeError as error:
            raise bundle.broken("update") from error


# --- into the store -------------------------------------------------------------------------------


def unpack(store: Store, hand: Hand, job: JobBundle) -> Unpacked:
    """Put a job into a store.

    What is there already stays; what only grows, grows: walks, updates, history. A record that is here in another state
    is left alone when the bundle's state is an earlier one of it, and refuses the bundle when it is not.

    Parameters
    ----------
    store : Store
        Open.
    hand : Hand
        Who unpacks, and when.
    job : JobBundle
        Checked.

    Raises
    ------
    ConflictError
        If a record of it is here in a state that does not follow from the bundle's. Nothing was written then.
    StoreError
        If the store cannot be written.
    """
    with store.reading() as unit:
        _new(unit.connection, job.rows)
    # Files first: what a row names is there before the row is. One that was lost here is put back.
    for member in job.bundle.blobs():
        store.blobs.put(job.bundle.blob(member.sha256))
    with store.writing(hand) as unit:
        new = _new(unit.connection, job.rows)
        if any(new.values()):
            _write(unit, hand, job, new)
    added = {name: len(rows) for name, rows in new.items() if rows}
    return Unpacked(str(job.job["id"]), str(job.job["name"]), "job" in added, added, job.bundle.manifest.missing)


def _new(connection: Connection, rows: Mapping[str, list[Row]]) -> dict[str, list[Row]]:
    """Return the rows that the store does not have, by table.

    Raises
    ------
    ConflictError
        If one of them is there in a state that does not follow.
    """
    new: dict[str, list[Row]] = {}
    for table in contents.OF_A_JOB:
        given = rows[table.name]
        match table.name:
            case "change" | "event":
                new[table.name] = _new_history(connection, table, given)
            case "walk_update":
                new[table.name] = _new_updates(connection, given)
            case _:
                new[table.name] = _new_records(connection, table, given, rows["change"])
    _require_whole_offers(new)
    return new


def _require_whole_offers(new: Mapping[str, list[Row]]) -> None:
    """Refuse an acceptance that comes for an offer which is here without it: only its customer gives one."""
    offers = {row["id"] for row in new["offer"]}
    for table in ("acceptance", "seal", "paper"):
        if any(row["offer_id"] not in offers for row in new[table]):
            raise _differs("offer")


def _existing(connection: Connection, table: Table, column: str, among: Iterable[str]) -> list[Row]:
    keys, found = sorted(set(among)), list[Row]()
    for start in range(0, len(keys), _AT_ONCE):
        query = select(table).where(table.c[column].in_(keys[start : start + _AT_ONCE]))
        found += [dict(row) for row in connection.execute(query).mappings()]
    return found


def _new_records(connection: Connection, table: Table, given: list[Row], history: list[Row]) -> list[Row]:
    key = "offer_id" if table.name == "seal" else "id"
    there = {row[key]: row for row in _existing(connection, table, key, (row[key] for row in given))}
    left_out = contents.left_out(table)
    for row in given:
        here = there.get(row[key])
        if here is not None and table.name != "person" and not _is_same(row, here, left_out):
            _require_earlier(connection, table, row, history)
    return [row for row in given if row[key] not in there]


def _is_same(row: Row, here: Row, left_out: frozenset[str]) -> bool:
    return all(row.get(name) == value for name, value in here.items() if name not in left_out)


def _require_earlier(connection: Connection, table: Table, row: Row, history: list[Row]) -> None:
    """Refuse a record unless what became of it in the bundle is how its history here began."""
    if "id" in row:
        bundled = [_told(one) for one in history if (one["record"], one["id"]) == (table.name, row["id"])]
        where = (tables.change.c.record == table.name, tables.change.c.id == row["id"])
        query = select(tables.change).where(*where).order_by(tables.change.c.seq)
        here = [_told(dict(one)) for one in connection.execute(query).mappings()]
        if bundled and bundled == here[: len(bundled)] and len(bundled) < len(here):
            return
    raise _differs("offer" if table.name in ("acceptance", "seal", "paper") else table.name)


def _differs(record: str) -> ConflictError:
    says = say("store.bundle-differs", record=say(f"store.record-{record}"))
    return ConflictError(says, fix=say("store.bundle-differs-do"))


def _told(row: Row) -> Row:
    """Return a row of a ledger without its number."""
    return {name: value for name, value in row.items() if name not in _NUMBER}


def _new_history(connection: Connection, table: Table, given: list[Row]) -> list[Row]:
    column = "about" if table.name == "event" else "id"
    existing = _existing(connection, table, column, (row[column] for row in given))
    there = Counter(line_of(row, table, _NUMBER) for row in existing)
    new: list[Row] = []
    for row in given:
        line = line_of(row, table, _NUMBER)
        if there[line] > 0:
            there[line] -= 1
        else:
            new.append(row)
    return new


def _new_updates(connection: Connection, given: list[Row]) -> list[Row]:
    walks = (row["walk_id"] for row in given)
    there = {(row["walk_id"], row["sha256"]) for row in _existing(connection, tables.walk_update, "walk_id", walks)}
    return [row for row in given if (row["walk_id"], row["sha256"]) not in there]


def _write(unit: Unit, hand: Hand, job: JobBundle, new: Mapping[str, list[Row]]) -> None:
    connection = unit.connection
    _write_blob_rows(connection, hand, job.bundle)
    for table in contents.OF_A_JOB:
        made = [_whole(table, filled(table, row, hand.at)) for row in new[table.name]]
        for start in range(0, len(made), _AT_ONCE):
            connection.execute(insert(table), made[start : start + _AT_ONCE])
    _drop_caches(connection, {row["walk_id"] for row in new["walk_update"]})
    unit.changes.note(hand, "unpacked" if new["job"] else "unpacked-more", str(job.job["id"]))


def _whole(table: Table, row: Row) -> Row:
    """Return a row with each column of its table, but for the number that the store gives it."""
    is_numbered = table.name != "seal"
    return {c.name: row.get(c.name) for c in table.columns if not (is_numbered and c.name in _NUMBER)}


def _write_blob_rows(connection: Connection, hand: Hand, bundle: Bundle) -> None:
    members = {one.sha256: one for one in bundle.blobs()}
    known = {row["sha256"] for row in _existing(connection, tables.blob, "sha256", members)}
    for sha256, member in members.items():
        if sha256 not in known:
            connection.execute(insert(tables.blob).values(sha256=sha256, size_bytes=member.size, at=hand.at))


def _drop_caches(connection: Connection, walks: Iterable[str]) -> None:
    for walk_id in walks:
        for table in (METADATA.tables[name] for name in contents.CACHES):
            if "walk_id" in table.c:
                connection.execute(delete(table).where(table.c.walk_id == walk_id))

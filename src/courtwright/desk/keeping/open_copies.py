"""A job in formats that everybody reads: site folders, photos, offers, and its records as JSON and CSV."""

from __future__ import annotations

import contextlib
import csv
import io
import json
import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import PurePosixPath
from typing import Any

from courtwright.errors import DamagedError
from courtwright.site.files import plain_name
from courtwright.site.walk_files import WalkedFiles
from courtwright.site.walked import site_files
from courtwright.store.blobs import Blobs
from courtwright.store.bundle.contents import left_out
from courtwright.store.bundle.lines import Row, line_of
from courtwright.store.bundle.pack import RowsByTable
from courtwright.store.columns import METADATA
from courtwright.store.walk.document import merged, plain

#: What a spreadsheet takes for the beginning of a formula.
_BEGINS_A_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")
_LONGEST_NAME = 60


def copies(rows: RowsByTable, blobs: Blobs) -> Iterator[tuple[str, bytes]]:
    """Yield the open files of a job: name and bytes. What is lost or damaged is left out; others tell of that.

    Parameters
    ----------
    rows : mapping
        Of the job, by table.
    blobs : Blobs
        Where files are kept.
    """
    for number, walk in enumerate(rows["walk"], 1):
        folder = f"walks/{number}-{named(walk['name'], 'walk')}"
        site = _site([row["body"] for row in rows["walk_update"] if row["walk_id"] == walk["id"]], blobs)
        yield from ((f"{folder}/site/{name}", data) for name, data in _opened(site))
        others = [row for kind in ("photo", "survey") for row in rows[kind] if row["walk_id"] == walk["id"]]
        named_by_site = set(site.blobs.values())
        yield from _kept(f"{folder}/other", [row for row in others if row["sha256"] not in named_by_site], blobs)
    for offer in rows["offer"]:
        folder = f"offers/{offer['number']}-{offer['revision']}"
        inputs: Mapping[str, Any] = offer["inputs"] or {}
        own = [row["sha256"] for row in rows["paper"] if row["offer_id"] == offer["id"]]
        papers = {"accepted.pdf": own[0]} if own else {}
        yield from _parts(folder, {**(offer["answers"] or {}), **papers}, blobs)
        yield from _parts(f"{folder}/site", inputs.get("files", {}), blobs)


def _site(updates: Sequence[bytes], blobs: Blobs) -> WalkedFiles:
    return site_files(plain(merged(updates)), lambda sha256: _read(blobs, sha256))


def _opened(site: WalkedFiles) -> Iterator[tuple[str, bytes]]:
    """Yield the files of a site folder that have come, under names that stay in it."""
    for name in site.names():
        inside = plain_name(name)
        if inside is not None:
            with contextlib.suppress(FileNotFoundError):
                yield inside, site.read(name)


def _kept(folder: str, kept: Sequence[Row], blobs: Blobs) -> Iterator[tuple[str, bytes]]:
    """Yield photos and survey files that the walk's document does not name."""
    for number, row in enumerate(kept, 1):
        data = _read(blobs, row["sha256"])
        if data is not None:
            yield f"{folder}/{number}-{named(row['name'], 'file')}", data


def _parts(folder: str, files: Mapping[str, str], blobs: Blobs) -> Iterator[tuple[str, bytes]]:
    """Yield files that were kept with an offer, by name and SHA-256."""
    for name, sha256 in files.items():
        inside, data = plain_name(name), _read(blobs, sha256)
        if inside is not None and data is not None:
            yield f"{folder}/{inside}", data


def _read(blobs: Blobs, sha256: str) -> bytes | None:
    try:
        return blobs.get(sha256)
    except DamagedError:
        return None


def named(text: str, otherwise: str) -> str:
    """Return a name that every file system takes.

    Parameters
    ----------
    text : str
        As typed.
    otherwise : str
        Where nothing of it is left.

    Examples
    --------
    >>> named("Señora Díaz: 2 courts/../etc", "job")
    'senora-diaz-2-courts-etc'
    >>> named("IMG 7.JPG", "photo"), named("..", "photo")
    ('img-7.jpg', 'photo')
    """
    simple = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    stem, dot, ending = simple.rpartition(".")
    if not re.fullmatch(r"[a-z0-9]{1,5}", ending) or not dot:
        stem, ending = simple, ""
    words = "-".join(re.findall(r"[a-z0-9]+", stem))[:_LONGEST_NAME].strip("-") or otherwise
    return f"{words}.{ending}" if ending else words


# --- records ------------------------------------------------------------------------------------------


def record_files(rows: RowsByTable) -> Iterator[tuple[str, bytes]]:
    """Yield the records of a job: each table as a JSON list and as CSV.

    No secret is in them, no bytes of updates, and not what only a search needs.
    """
    for name, of in ((name, of) for name, of in rows.items() if of):
        table = METADATA.tables[name]
        without = left_out(table) | {"body", "sought"}
        shown = [json.loads(line_of(row, table, without)) for row in of]
        yield from listed(f"records/{name}", [c.name for c in table.columns if c.name not in without], shown)


def listed(name: str, columns: Sequence[str], rows: Sequence[Mapping[str, Any]]) -> Iterator[tuple[str, bytes]]:
    """Yield a list as a JSON file and as a CSV file.

    Parameters
    ----------
    name : str
        Of the files, without their endings.
    columns : sequence of str
        In their order.
    rows : sequence of mapping
        Plain values by column.
    """
    yield f"{name}.json", json.dumps(rows, ensure_ascii=False, indent=1).encode() + b"\n"
    yield f"{name}.csv", sheet(columns, rows)


def sheet(columns: Sequence[str], rows: Iterable[Mapping[str, Any]]) -> bytes:
    r"""Return rows as CSV; text that a spreadsheet would run as a formula is marked as text by an apostrophe.

    Parameters
    ----------
    columns : sequence of str
        In their order.
    rows : iterable of mapping
        Plain values by column.

    Examples
    --------
    >>> sheet(["name", "count"], [{"name": "=1+1", "count": -1}])
    b"name,count\r\n'=1+1,-1\r\n"
    """
    text = io.StringIO()
    write = csv.writer(text).writerow
    write(columns)
    for row in rows:
        write([_cell(row.get(name)) for name in columns])
    return text.getvalue().encode()


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool | int | float):
        return json.dumps(value)
    shown = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)
    return f"'{shown}" if shown.startswith(_BEGINS_A_FORMULA) else shown


def folder_of(job: Row) -> PurePosixPath:
    """Return the folder of a job among all jobs: its name for people, its id so that no two are one."""
    return PurePosixPath("jobs") / f"{named(job['name'], 'job')}-{job['id']}"

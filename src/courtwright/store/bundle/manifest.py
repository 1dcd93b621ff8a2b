"""What a bundle says of itself: its form, its files, and what of it a reader may leave out."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal, cast

from courtwright.errors import InputError
from courtwright.says import say

NAME = "manifest.json"
FORMAT = "courtwright bundle"
#: A reader takes every version with its own first number; what a higher second number adds is told by the bundle.
VERSION = (1, 0)
#: The folders of this version. Whoever reads a bundle must understand the first three; `open` is for people.
RECORDS, UPDATES, BLOBS, OPEN = "records", "updates", "blobs", "open"
MUST = (RECORDS, UPDATES, BLOBS)
MAY = (OPEN,)

Kind = Literal["job", "store"]
_SHA256 = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Member:
    """One file of a bundle.

    Parameters
    ----------
    name : str
        Its path inside.
    size : int
        Its size. [bytes]
    sha256 : str
        Of its bytes.
    """

    name: str
    size: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a bundle says of itself.

    Parameters
    ----------
    kind : {"job", "store"}
        One job, or everything.
    made_by : str
        The release that wrote it.
    as_of : str
        When the last thing in it happened; no time of packing, so that the same job packs to the same bytes.
    step : str
        The form of the database that its records follow.
    job : str or None
        Id of the job.
    missing : tuple of str
        Kept files that were lost or damaged already when the bundle was made, by SHA-256.
    may_ignore : mapping
        Folders, tables, and columns by table, that a reader who does not know them may leave out.
    files : tuple of Member
        Every other file.
    version : tuple of int
        Of the form. [-]
    """

    kind: Kind
    made_by: str
    as_of: str
    step: str
    job: str | None = None
    missing: tuple[str, ...] = ()
    may_ignore: Mapping[str, Any] = field(default_factory=lambda: {"folders": list(MAY), "tables": [], "columns": {}})
    files: tuple[Member, ...] = ()
    version: tuple[int, int] = VERSION

    def may_ignore_folder(self, name: str) -> bool:
        """Tell whether a reader who does not know a folder may leave it out."""
        return name in self.may_ignore.get("folders", ())

    def may_ignore_table(self, name: str) -> bool:
        """Tell whether a reader who does not know a table may leave it out."""
        return name in self.may_ignore.get("tables", ())

    def may_ignore_column(self, table: str, name: str) -> bool:
        """Tell whether a reader who does not know a column may leave it out."""
        return name in self.may_ignore.get("columns", {}).get(table, ())


def manifest_text(manifest: Manifest) -> bytes:
    """Return a manifest as the bundle holds it."""
    document = {
        "format": FORMAT,
        "version": list(manifest.version),
        "kind": manifest.kind,
        "made_by": manifest.made_by,
        "as_of": manifest.as_of,
        "step": manifest.step,
        "job": manifest.job,
        "must_understand": list(MUST),
        "may_ignore": manifest.may_ignore,
        "missing": list(manifest.missing),
        "files": [{"name": one.name, "size_bytes": one.size, "sha256": one.sha256} for one in manifest.files],
    }
    return json.dumps(document, ensure_ascii=False, indent=1, sort_keys=True).encode()


def read_manifest(data: bytes, where: str, kind: Kind) -> Manifest:
    """Return what a bundle says of itself.

    Parameters
    ----------
    data : bytes
        The manifest.
    where : str
        Name of the bundle.
    kind : {"job", "store"}
        What it has to hold.

    Raises
    ------
    InputError
        If it is none of ours, of a newer form, or of the other kind.
    """
    given = _document(data, where)
    if given.get("format") != FORMAT:
        raise refused("foreign", where)
    version = _version(given.get("version"), where)
    if version[0] > VERSION[0]:
        raise refused("newer", where, version=".".join(map(str, version)))
    if version[0] < VERSION[0]:
        raise refused("foreign", where)
    _require_understood(given, where)
    if given.get("kind") != kind:
        raise refused(f"kind-{kind}", where)
    return _manifest(given, version, where)


def refused(id: str, where: str, **values: object) -> InputError:
    """Return the refusal of a bundle."""
    return InputError(say(f"store.bundle-{id}", **values), where=where, fix=say(f"store.bundle-{id}-do"))


def _document(data: bytes, where: str) -> dict[str, Any]:
    try:
        given = json.loads(data)
    except (ValueError, RecursionError) as error:
        raise refused("foreign", where) from error
    if not isinstance(given, dict):
        raise refused("foreign", where)
    return cast("dict[str, Any]", given)


def _version(given: object, where: str) -> tuple[int, int]:
    match given:
        case [int(major), int(minor)] if not isinstance(major, bool) and not isinstance(minor, bool):
            return major, minor
        case _:
            raise refused("foreign", where)


def _require_understood(given: Mapping[str, Any], where: str) -> None:
    """Refuse a bundle that says itself that it holds something which this release cannot leave out."""
    asked = given.get("must_understand")
    if not isinstance(asked, list):
        raise refused("foreign", where)
    unknown = [str(name) for name in cast("list[Any]", asked) if name not in MUST]
    if unknown:
        raise refused("must", where, name=unknown[0][:80])


def _manifest(given: Mapping[str, Any], version: tuple[int, int], where: str) -> Manifest:
    try:
        return Manifest(
            kind=given["kind"],
            made_by=_text(given["made_by"]),
            as_of=_text(given["as_of"]),
            step=_text(given["step"]),
            job=None if given["job"] is None else _text(given["job"]),
            missing=tuple(_hash(one) for one in given["missing"]),
            may_ignore=_ignorable(given["may_ignore"]),
            files=tuple(Member(_text(f["name"]), _size(f["size_bytes"]), _hash(f["sha256"])) for f in given["files"]),
            version=version,
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise refused("foreign", where) from error


def _ignorable(given: Mapping[str, Any]) -> Mapping[str, Any]:
    columns = {_text(table): [_text(name) for name in names] for table, names in given["columns"].items()}
    return {
        "folders": [_text(name) for name in given["folders"]],
        "tables": [_text(name) for name in given["tables"]],
        "columns": columns,
    }


def _text(given: object) -> str:
    if not isinstance(given, str):
        raise TypeError
    return given


def _size(given: object) -> int:
    if type(given) is not int or given < 0:
        raise TypeError
    return given


def _hash(given: object) -> str:
    if not _SHA256.fullmatch(_text(given)):
        raise ValueError
    return _text(given)

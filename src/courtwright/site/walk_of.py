"""Makes a walk's document of a site folder: the way back of `courtwright.site.walked`."""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from courtwright.site.complaints import Complaints
from courtwright.site.files import SiteFiles
from courtwright.site.folder import MARKS, SITE
from courtwright.site.formats import json_text
from courtwright.site.formats.site_toml import read_tables
from courtwright.site.formats.text import decoded
from courtwright.site.photos import FOLDER
from courtwright.site.walk_items import ROOTS, SHAPE

_APART = ("court", "tally", "answers")
Plain = dict[str, dict[str, Any]]


@dataclass(frozen=True, slots=True)
class WalkOf:
    """A walk's document made of a folder.

    Parameters
    ----------
    plain : dict
        The document in plain values.
    blobs : mapping of str to str
        Name in the folder of each photo and survey file, by the SHA-256 that the document calls it by.
    """

    plain: Plain
    blobs: Mapping[str, str]


@dataclass(slots=True)
class _Maker:
    new_id: Callable[[], str]
    plain: Plain = field(default_factory=lambda: {root: {} for root in ROOTS})
    pads: dict[str, str] = field(default_factory=dict[str, str])

    def put(self, root: str, order: int, values: Mapping[str, Any]) -> str:
        id = self.new_id()
        self.plain[root][id] = {**{key: _typed(value) for key, value in values.items()}, "order": order}
        return id


def walk_of(files: SiteFiles, new_id: Callable[[], str]) -> WalkOf:
    """Return the document of a walk that says what a site folder says, texts as typed.

    Parameters
    ----------
    files : SiteFiles
        The folder or archive.
    new_id : callable
        Gives a UUID that was not given before.

    Returns
    -------
    WalkOf
        What is no table, no feature and no file is left out, as reading the folder would complain.
    """
    maker = _Maker(new_id)
    names = files.names()
    tables = read_tables(_read(files, SITE), SITE, Complaints()) if SITE in names else {}
    _walk(maker, tables)
    for number, table in enumerate(_tables(tables.get("pad")), 1):
        _pad(maker, table, number)
    maker.plain["answers"] |= {str(key): _typed(value) for key, value in _table(tables.get("answers")).items()}
    if MARKS in names:
        _marks(maker, _read(files, MARKS))
    return WalkOf(maker.plain, _blobs(maker, files))


def _walk(maker: _Maker, tables: Mapping[str, Any]) -> None:
    values = {**_table(tables.get("job")), **_table(tables.get("site"))}
    maker.plain["walk"] = {"shape": SHAPE, **{key: _typed(value) for key, value in values.items()}}


def _pad(maker: _Maker, table: Mapping[str, Any], number: int) -> None:
    pad = maker.put("pads", number, {key: value for key, value in table.items() if key not in _APART})
    maker.pads.setdefault(str(table.get("id") or f"pad-{number}"), pad)
    for root, key in (("courts", "court"), ("tallies", "tally")):
        for order, inner in enumerate(_tables(table.get(key)), 1):
            maker.put(root, order, {**inner, "pad": pad})
    for fact, value in _table(table.get("answers")).items():
        maker.plain["answers"][f"{pad}/{fact}"] = _typed(value)


def _marks(maker: _Maker, data: bytes) -> None:
    content = json_text.read(decoded(data) or "null")
    features: Any = content
    if isinstance(content, json_text.Broken):
        features, units = list(content.features), content.units
    else:
        units = content.get("units") if isinstance(content, Mapping) else None
        features = content.get("features", content) if isinstance(content, Mapping) else content
    if units is not None:
        maker.plain["walk"]["marks_units"] = units
    features = [features] if isinstance(features, Mapping) else features
    for number, feature in enumerate(features if isinstance(features, list) else [], 1):
        if isinstance(feature, Mapping):
            _mark(maker, feature, number)


def _mark(maker: _Maker, feature: Mapping[str, Any], number: int) -> None:
    properties = _table(feature.get("properties"))
    values = {key: value for key, value in properties.items() if key not in ("geometry", "order")}
    pad = values.get("pad")
    if pad is not None:
        values["pad"] = maker.pads.get(str(pad), pad)
    if "id" in feature:
        values["id"] = feature["id"]
    maker.put("marks", number, {**values, "geometry": feature.get("geometry")})


def _blobs(maker: _Maker, files: SiteFiles) -> dict[str, str]:
    found: dict[str, str] = {}
    for number, name in enumerate(files.names(), 1):
        if name in (SITE, MARKS):
            continue
        sha256 = hashlib.sha256(_read(files, name)).hexdigest()
        root = "photos" if name.startswith(FOLDER) else "files"
        maker.put(root, number, {"name": name.removeprefix(FOLDER), "sha256": sha256})
        found[sha256] = name
    return found


def _read(files: SiteFiles, name: str) -> bytes:
    with files.open(name) as handle:
        return handle.read()


def _table(given: object) -> Mapping[str, Any]:
    return given if isinstance(given, Mapping) else {}


def _tables(given: object) -> list[Mapping[str, Any]]:
    return [one for one in (given if isinstance(given, list) else [given]) if isinstance(one, Mapping)]


def _typed(value: Any) -> Any:
    """Return a value as a document holds it: days and times as the texts that people type."""
    if isinstance(value, dt.date | dt.time):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {str(key): _typed(inner) for key, inner in value.items()}
    return [_typed(inner) for inner in value] if isinstance(value, list | tuple) else value

"""Makes a site folder of a walk's document, and reads it like any other.

What breaks the shape of a walk is complained of and left out; nothing is refused whole. The document says where
everything stands by UUIDs; the folder says it by labels, so `Projection.places` leads back.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

import tomli_w

from courtwright.says import say
from courtwright.site.complaints import Complaints, NothingLeftError, short
from courtwright.site.files import plain_name
from courtwright.site.folder import MARKS, SITE, read_files
from courtwright.site.formats.fields import is_unknown
from courtwright.site.formats.typed import coordinate, in_unit
from courtwright.site.photos import FOLDER
from courtwright.site.record import Complaint, SiteRecord
from courtwright.site.walk_files import ReadBlob, WalkedFiles
from courtwright.site.walk_items import (
    FILE,
    SHAPE,
    Item,
    Values,
    items,
    number_or_text,
    table_of,
    tell_other_roots,
    values_of,
    withdrawn,
)

_JOB = ("name", "customer", "prevailing_wage", "units")
_SITE = ("address", "lat", "lon", "walked_on", "walked_by")
_OF_WALK = ("shape", "marks_units")
#: Texts that stay texts though they may look like numbers.
_TEXTS = ("id", "shots", "name", "address", "walked_by", "court", "note", "label", "crs")
_UUID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}", re.IGNORECASE)
_SHA256 = re.compile(r"[0-9a-f]{64}")
_COLUMNS = ("easting", "northing", "elevation", "point", "description")

System = Literal["us", "metric"]


@dataclass(frozen=True, slots=True)
class Projection:
    """What a walk's document says.

    Parameters
    ----------
    record : SiteRecord or None
        What is good of it; None when no pad can be used.
    complaints : tuple of Complaint
        Everything that is wrong with it: with the document (file ``walk``) first, then with the site it makes.
    places : mapping
        The UUID that a complaint is about, by its file and place.
    """

    record: SiteRecord | None
    complaints: tuple[Complaint, ...]
    places: Mapping[tuple[str, str], str]


@dataclass(slots=True)
class _Maker:
    """What is known while the files are made."""

    plain: Mapping[str, object]
    complaints: Complaints
    system: System = "us"
    marks_units: object = None
    labels: dict[str, str] = field(default_factory=dict[str, str])
    courts: dict[str, str] = field(default_factory=dict[str, str])
    owners: dict[tuple[str, str], str] = field(default_factory=dict[tuple[str, str], str])
    #: Survey files by UUID: their names in the folder, and what was told of them.
    files: dict[str, tuple[str, Values]] = field(default_factory=dict[str, tuple[str, Values]])

    def items(self, root: str, *nested: str) -> list[Item]:
        return list(items(self.plain, root, nested, self.complaints))

    def of_pads(self, root: str, *nested: str) -> dict[str, list[Item]]:
        """Return the items of a map by the UUID of their pad; those of a pad that is withdrawn go with it."""
        gone = withdrawn(self.plain, "pads")
        found: defaultdict[str, list[Item]] = defaultdict(list)
        for item in self.items(root, *nested):
            pad = str(item.values.get("pad", ""))
            if pad in self.labels:
                found[pad].append(item)
            elif pad not in gone:
                self.complaints.error(FILE, f"{item.at}, pad", "walk-no-such-pad", pad=short(pad))
        return found


def project(plain: Mapping[str, object], read_blob: ReadBlob) -> Projection:
    """Return what a walk's document says, and every complaint about it.

    Parameters
    ----------
    plain : mapping
        The document in plain values.
    read_blob : callable
        Gives the bytes of photos and survey files by their SHA-256, or None where they have not come.

    Returns
    -------
    Projection
        The same for the same document, whatever its order.
    """
    complaints = Complaints()
    files = _made(plain, read_blob, complaints)
    try:
        record: SiteRecord | None = read_files(files, FILE)
        told = record.complaints if record else ()
    except NothingLeftError as error:
        record, told = None, error.complaints
        do = error.fix or say("site.nothing-left-do")
        complaints.add("error", FILE, "", "nothing-left", error.problem, do)
    for complaint in told:
        if complaint.file in files.missing:
            complaints.note(complaint.file, "", "walk-not-come")
        else:
            _pass_on(complaint, complaints)
    found = complaints.found()
    places = {(one.file, one.at): owner for one in found if (owner := _owner(one, files.owners)) is not None}
    return Projection(None if record is None else replace(record, complaints=found), found, places)


def _pass_on(complaint: Complaint, complaints: Complaints) -> None:
    complaints.add(complaint.weight, complaint.file, complaint.at, complaint.code, complaint.says, complaint.do)


def site_files(plain: Mapping[str, object], read_blob: ReadBlob) -> WalkedFiles:
    """Return the site folder that a walk's document makes: what is good of it.

    Parameters
    ----------
    plain, read_blob
        As for `project`, which tells what is left out.
    """
    return _made(plain, read_blob, Complaints())


def _made(plain: Mapping[str, object], read_blob: ReadBlob, complaints: Complaints) -> WalkedFiles:
    maker = _Maker(plain, complaints)
    tell_other_roots(plain, complaints)
    walk = _walk(maker)
    pads = _pads(maker)
    site, answers = _answers(maker)
    blobs = _blobs(maker)
    _name_files(maker, pads)
    written: dict[str, bytes] = {}
    _courts(maker, pads)
    _tallies(maker, pads)
    for pad, own in answers.items():
        pads[pad]["answers"] = own
    _shots(maker, pads, written, blobs)
    tables = {**walk, **({"answers": site} if site else {}), "pad": list(pads.values())}
    written[SITE] = tomli_w.dumps(tables).encode()
    marks = _marks(maker)
    if marks:
        content = {"type": "FeatureCollection", "units": maker.marks_units or maker.system, "features": marks}
        written[MARKS] = json.dumps(content, ensure_ascii=False, separators=(",", ":")).encode()
    blobs = {name: sha256 for name, sha256 in blobs.items() if name not in written}
    return WalkedFiles(written, blobs, read_blob, maker.owners)


# --- site.toml ----------------------------------------------------------------------------------


def _walk(maker: _Maker) -> dict[str, Values]:
    given = values_of(table_of(maker.plain, "walk", maker.complaints), "walk", (), maker.complaints)
    shape = number_or_text(given.get("shape", SHAPE))
    if shape != SHAPE:
        maker.complaints.note(FILE, "walk, shape", "walk-other-shape", shape=short(shape), known=SHAPE)
    maker.system = "metric" if str(given.get("units")).strip().lower() == "metric" else "us"
    maker.marks_units = given.get("marks_units")
    job = _numbered({key: given[key] for key in _JOB if key in given})
    others = {key: value for key, value in given.items() if key not in (*_JOB, *_OF_WALK)}
    # what no site has goes there too, so that its reader tells of it and of what was meant
    return {"job": job, "site": _numbered(others)}


def _numbered(given: Values) -> Values:
    """Return values with plain numbers as such, but for names and texts."""
    return {
        key: str(value) if key in _TEXTS and not isinstance(value, bool) else number_or_text(value)
        for key, value in given.items()
    }


def _pads(maker: _Maker) -> dict[str, Values]:
    """Return the tables of the pads by UUID, each with a label of its own."""
    found: dict[str, Values] = {}
    for number, item in enumerate(maker.items("pads", "outline", "place", "columns"), 1):
        table, given = _numbered(item.values), item.values.get("id")
        is_label = isinstance(given, str | int) and not isinstance(given, bool)
        label = str(given).strip() if is_label and not is_unknown(given) else ""
        if label and label in maker.labels.values():
            own = label
            while label in maker.labels.values():
                label = f"{own} #{number}" if label == own else f"{label}'"
            maker.complaints.error(FILE, f"{item.at}, id", "walk-pad-twice", id=short(own), new=short(label))
        if label:
            table["id"] = label
        maker.labels[item.id] = label or f"pad-{number}"
        for place in (f"pad {maker.labels[item.id]}", f"pad {number}"):
            maker.owners.setdefault((SITE, place), item.id)
        if "outline" in table:
            table["outline"] = _lists(table["outline"])
        found[item.id] = {key: _without_nulls(value) for key, value in table.items()}
    return found


def _lists(given: object) -> object:
    """Return an outline with its typed numbers as such; the reader knows texts with a unit."""
    if isinstance(given, list | tuple):
        return [_lists(inner) for inner in given]
    return "unreadable" if given is None else number_or_text(given)


def _without_nulls(value: object) -> object:
    """Return what TOML can hold, which has no word for nothing."""
    if isinstance(value, Mapping):
        return {key: _without_nulls(inner) for key, inner in value.items() if inner is not None}
    if isinstance(value, list | tuple):
        return ["unknown" if inner is None else _without_nulls(inner) for inner in value]
    return value


def _courts(maker: _Maker, pads: Mapping[str, Values]) -> None:
    for pad, own in maker.of_pads("courts", "centre").items():
        tables: list[Values] = []
        for number, item in enumerate(own, 1):
            table = _numbered({key: value for key, value in item.values.items() if key != "pad"})
            if "centre" in table:
                table["centre"] = _without_nulls(_lists(table["centre"]))
            maker.courts[item.id] = str(item.values.get("id", number)).strip() or str(number)
            maker.owners[SITE, f"pad {maker.labels[pad]}, court {number}"] = item.id
            tables.append(table)
        pads[pad]["court"] = tables


def _tallies(maker: _Maker, pads: Mapping[str, Values]) -> None:
    for pad, own in maker.of_pads("tallies").items():
        tables: list[Values] = []
        for number, item in enumerate(own, 1):
            table = _numbered({key: value for key, value in item.values.items() if key != "pad"})
            if "court" in table:
                table["court"] = maker.courts.get(str(table["court"]), table["court"])
            maker.owners[SITE, f"pad {maker.labels[pad]}, tally {number}"] = item.id
            tables.append(table)
        pads[pad]["tally"] = tables


def _answers(maker: _Maker) -> tuple[Values, dict[str, Values]]:
    """Return the answers for the whole site, and those of each pad by its UUID."""
    given = values_of(table_of(maker.plain, "answers", maker.complaints), "answers", (), maker.complaints)
    gone = withdrawn(maker.plain, "pads")
    site: Values = {}
    pads: defaultdict[str, Values] = defaultdict(dict)
    for key, value in sorted(given.items()):
        pad, stroke, fact = key.partition("/")
        if not stroke:
            site[key] = value
        elif pad in maker.labels and fact:
            pads[pad][fact] = value
            maker.owners[SITE, f"pad {maker.labels[pad]}, answers, {fact}"] = pad
        elif pad not in gone:
            maker.complaints.error(FILE, f"answers {short(key)}", "walk-no-such-pad", pad=short(pad))
    return site, pads


# --- shots, photos, files -----------------------------------------------------------------------


def _shots(maker: _Maker, pads: Mapping[str, Values], written: dict[str, bytes], blobs: Mapping[str, str]) -> None:
    """Write the shots that were typed, one file for each pad that has some and names no file of its own."""
    for pad, own in maker.of_pads("shots").items():
        named = pads[pad].get("shots")
        if named is not None:
            maker.complaints.error(FILE, f"pads {pad}, shots", "walk-shots-both", shots=len(own), name=short(named))
            continue
        number = list(pads).index(pad) + 1
        name = next(n for i in range(len(blobs) + 1) if (n := f"shots-{number}{'-' * i}.csv") not in blobs)
        rows = [row for item in own if (row := _row(maker, item)) is not None]
        if not rows:
            continue
        for line, (id, _) in enumerate(rows, 2):
            maker.owners[name, f"line {line}"] = id
        text = io.StringIO()
        csv.writer(text, lineterminator="\n").writerows([_COLUMNS, *(cells for _, cells in rows)])
        written[name] = text.getvalue().encode()
        pads[pad]["shots"] = name


def _row(maker: _Maker, item: Item) -> tuple[str, list[object]] | None:
    """Return a shot's cells, or None after complaining that a coordinate cannot be read."""
    values = item.values
    places = [_coordinate(values.get(key), maker.system) for key in ("x", "y")]
    height = values.get("elevation")
    elevation = "" if is_unknown(height) else _coordinate(height, maker.system)
    for key, read in (("x", places[0]), ("y", places[1]), ("elevation", elevation)):
        if read is None:
            maker.complaints.error(FILE, f"{item.at}, {key}", "walk-shot", key=key, given=short(values.get(key, "")))
            return None
    texts = [" ".join(str(values.get(key, "")).split()) for key in ("point", "description")]
    return item.id, [*places, elevation, *texts]


def _coordinate(given: object, system: System) -> float | int | None:
    """Return a coordinate as a plain number in the system's unit: as it is, or as a typed text says."""
    number = number_or_text(given)
    read = coordinate(number, system)
    if read is None:
        return None
    return number if isinstance(number, int | float) else in_unit(read, system)


def _blobs(maker: _Maker) -> dict[str, str]:
    """Return the SHA-256 of photos and survey files by their names in the folder."""
    found: dict[str, str] = {}
    for root, folder in (("files", ""), ("photos", FOLDER)):
        for item in maker.items(root, *(("columns", "place") if root == "files" else ("from",))):
            given, sha256 = item.values.get("name", f"{item.id}.jpg"), str(item.values.get("sha256", ""))
            name = plain_name(str(given)) if isinstance(given, str) else None
            if name is None or (not folder and (name in (SITE, MARKS) or name.startswith(FOLDER))):
                maker.complaints.error(FILE, f"{item.at}, name", "walk-file-name", name=short(given))
            elif not _SHA256.fullmatch(sha256):
                maker.complaints.error(FILE, f"{item.at}, sha256", "walk-no-hash", name=short(name))
            else:
                name = _own_name(folder + name, item.id, found)
                found[name] = sha256
                maker.owners[name, ""] = item.id
                if root == "files":
                    maker.files[item.id] = (name, item.values)
    return found


def _name_files(maker: _Maker, pads: Mapping[str, Values]) -> None:
    """Name the survey files that pads tell by UUID, with what was told of each; one taken away is named no more."""
    gone = withdrawn(maker.plain, "files")
    for table in pads.values():
        told = table.get("shots")
        if told in gone:
            del table["shots"]
        elif isinstance(told, str) and told in maker.files:
            name, values = maker.files[told]
            table["shots"] = name
            for key in ("columns", "place"):
                if isinstance(given := values.get(key), Mapping):
                    table[key] = _without_nulls(_typed_numbers(given))


def _typed_numbers(given: Mapping[str, object]) -> dict[str, object]:
    """Return a table with typed numbers as such."""
    return {
        str(key): _lists(value) if isinstance(value, list | tuple) else number_or_text(value)
        for key, value in given.items()
        if value is not None
    }


def _own_name(name: str, id: str, taken: Mapping[str, str]) -> str:
    """Return a name that no other file has."""
    if name not in taken:
        return name
    folder, stroke, last = name.rpartition("/")
    return f"{folder}{stroke}{plain_name(id.replace('/', '-')) or 'file'}-{last}"


# --- marks.geojson ------------------------------------------------------------------------------


def _marks(maker: _Maker) -> list[dict[str, object]]:
    """Return the features of the marks, in order."""
    gone = withdrawn(maker.plain, "pads")
    found: list[dict[str, object]] = []
    for item in maker.items("marks", "geometry"):
        values = dict(item.values)
        pad, geometry = values.pop("pad", None), values.pop("geometry", None)
        if pad in gone:
            continue
        if isinstance(pad, str) and pad not in maker.labels and _UUID.fullmatch(pad):
            maker.complaints.error(FILE, f"{item.at}, pad", "walk-no-such-pad", pad=short(pad))
            continue
        label = maker.labels.get(str(pad), pad)
        properties = {**({} if label is None else {"pad": str(label)}), **_numbered(values)}
        shape = _geometry(geometry, maker.system)
        found.append({"type": "Feature", "id": item.id, "properties": properties, "geometry": shape})
        maker.owners[MARKS, f"feature {len(found)}"] = item.id
    return found


def _geometry(given: object, system: System) -> object:
    """Return a geometry with its typed coordinates as numbers; one that cannot be read stays as typed, to be told."""
    if isinstance(given, Mapping):
        # An object keeps no order on its way through the document; what is written of it must always be the same.
        return {key: _geometry(given[key], system) if key == "coordinates" else given[key] for key in sorted(given)}
    if isinstance(given, list | tuple):
        return [_geometry(inner, system) for inner in given]
    if not isinstance(given, str):
        return given
    read = _coordinate(given, system)
    return given if read is None else read


# --- places -------------------------------------------------------------------------------------


def _owner(complaint: Complaint, owners: Mapping[tuple[str, str], str]) -> str | None:
    """Return the UUID that a complaint is about: that of the nearest place that has one."""
    if complaint.file == FILE:
        words = complaint.at.partition(",")[0].split(" ", 1)
        return words[1].partition("/")[0] if len(words) == 2 and words[0] != "walk" else None
    parts = complaint.at.split(", ")
    for length in range(len(parts), -1, -1):
        owner = owners.get((complaint.file, ", ".join(parts[:length])))
        if owner is not None:
            return owner
    line = re.match(r"lines? (\d+)", complaint.at)
    return owners.get((complaint.file, f"line {line[1]}")) if line else None

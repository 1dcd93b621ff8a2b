"""Reads a site, from a folder or a zip: what is good of it, and every complaint about the rest."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Generator, Iterable
from dataclasses import replace
from pathlib import Path
from typing import BinaryIO

from shapely import Polygon

from courtwright.errors import CallError, InputError
from courtwright.says import say
from courtwright.site.archive import ZipFiles
from courtwright.site.complaints import Complaints, NothingLeftError, nearest, short
from courtwright.site.files import SiteFiles, plain_name
from courtwright.site.formats import HEAD, kind_of
from courtwright.site.formats.answers import merged, read_answers
from courtwright.site.formats.marks_geojson import read_marks
from courtwright.site.formats.points_csv import PointList, read_points
from courtwright.site.formats.seen import Seen
from courtwright.site.formats.sheet import PadSheet, Sheet, read_sheet
from courtwright.site.formats.site_toml import read_tables
from courtwright.site.formats.surveys import SURVEYS, placed_list, surveyed
from courtwright.site.photos import FOLDER, list_photos
from courtwright.site.record import Answer, FactValue, Mark, Pad, Photo, Shots, SiteRecord
from courtwright.site.shots import shots_of
from courtwright.units import UnitSystem

SITE, MARKS = "site.toml", "marks.geojson"
#: Larger files are not opened: no walk writes so much. [bytes]
_LARGEST = {SITE: 250_000, MARKS: 8_000_000}
_LARGEST_SHOTS = 6_000_000
_MOST_FILES = 10_000
#: Files of these endings are expected to be named in ``site.toml``; others are nobody's business here.
_DATA = (".csv", ".txt", ".geojson", ".json", ".xml", ".las", ".laz", ".tif", ".tiff", ".gpkg", ".dxf", ".toml")


class FolderFiles:
    """The regular files of a folder, and of the folders in it; links that leave it are not followed."""

    def __init__(self, root: Path) -> None:
        self._root = root.resolve()
        self._paths: dict[str, Path] = {}
        for folder, folders, names in os.walk(self._root):
            folders[:] = sorted(name for name in folders if not name.startswith("."))
            for name in sorted(names):
                path = Path(folder, name)
                if path.is_file() and path.resolve().is_relative_to(self._root):
                    self._paths[path.relative_to(self._root).as_posix()] = path
            if len(self._paths) > _MOST_FILES:
                break

    def names(self) -> tuple[str, ...]:
        """Return the names of all files, sorted."""
        return tuple(sorted(self._paths))

    def size(self, name: str) -> int:
        """Return the size of a file. [bytes]"""
        return self._paths[name].stat().st_size

    def open(self, name: str) -> BinaryIO:
        """Open one file.

        Raises
        ------
        OSError
            If it cannot be opened.
        """
        return self._paths[name].open("rb")


def read_site(path: str | Path) -> SiteRecord:
    """Return what is good of a site, with every complaint about the rest.

    Parameters
    ----------
    path : str or Path
        A site folder, or a zip of one, known by its content.

    Returns
    -------
    SiteRecord
        Frozen; lengths in metres, unknowns as None.

    Raises
    ------
    CallError
        If there is no such path.
    ArchiveError
        If a zip must not be opened: names that leave its folder, links, or thousandfold growth.
    InputError
        If nothing is left to compute: the path is no site, or no pad has a usable outline. It is then a
        `NothingLeftError`, which tells all complaints.
    """
    path = Path(path)
    with opened(path) as files:
        return read_files(files, path.name)


def read_photos(path: str | Path, photos: Iterable[Photo]) -> dict[str, bytes]:
    """Return photos of a site as the camera wrote them, by name.

    Parameters
    ----------
    path : str or Path
        The folder or zip that `read_site` read.
    photos : iterable of Photo
        Those wanted, as listed; one that has gone since is left out.

    Raises
    ------
    CallError, ArchiveError, InputError
        As `read_site` does.
    """
    with opened(Path(path)) as files:
        return photo_files(files, photos)


def photo_files(files: SiteFiles, photos: Iterable[Photo]) -> dict[str, bytes]:
    """Return photos among the files of a site as the camera wrote them, by name; one that has gone is left out."""
    there = set(files.names())
    return {photo.name: _whole(files, photo.name) for photo in photos if photo.name in there}


def _whole(files: SiteFiles, name: str) -> bytes:
    with files.open(name) as handle:
        return handle.read()


@contextlib.contextmanager
def opened(path: Path) -> Generator[SiteFiles, None, None]:
    """Open a site folder, or a zip of one, known by its content.

    Raises
    ------
    CallError, ArchiveError, InputError
        As `read_site` does.
    """
    if not path.exists():
        raise CallError(say("site.no-such-path", path=str(path)), fix=say("site.no-such-path-do"))
    if path.is_dir():
        yield FolderFiles(path)
        return
    if not path.is_file():
        raise _not_a_site(path.name)
    try:
        with path.open("rb") as handle:
            if kind_of(handle.read(HEAD)) != "zip":
                raise _not_a_site(path.name)
            yield ZipFiles(handle, path.name)
    except OSError as error:
        raise InputError(
            say("site.unreadable-path", path=path.name), where=path.name, fix=say("site.unreadable-path-do")
        ) from error


def _not_a_site(name: str) -> InputError:
    return InputError(say("site.not-a-site", name=name), where=name, fix=say("site.not-a-site-do"))


def read_files(files: SiteFiles, where: str) -> SiteRecord:
    """Return what is good of the files of a site.

    Parameters
    ----------
    files : SiteFiles
        The files.
    where : str
        Name of their folder or archive.

    Returns
    -------
    SiteRecord
        As `read_site` does.

    Raises
    ------
    NothingLeftError
        If no pad has a usable outline.
    """
    complaints = Complaints()
    if SITE not in files.names():
        near = nearest(SITE, files.names(), 0.7)
        do = say("site.did-you-mean-file", near=near, name=SITE) if near else say("site.no-site-toml-do")
        raise NothingLeftError(say("site.no-site-toml"), where, do)
    data = _content(files, SITE, _LARGEST[SITE], complaints)
    sheet = read_sheet(read_tables(data, SITE, complaints) if data else {}, SITE, complaints)
    site_answers = read_answers(sheet.answers)
    marks = _marks(files, sheet, complaints)
    pads = tuple(
        _pad(files, one, one.pad, sheet, marks.get(one.id, ()), site_answers, complaints)
        for one in sheet.pads
        if one.pad is not None
    )
    photos = list_photos(files, complaints)
    _tell_unused(files, sheet, complaints)
    if not pads:
        raise NothingLeftError(say("site.nothing-left"), where, say("site.nothing-left-do"), complaints.found())
    return replace(sheet.record, pads=pads, photos=photos, complaints=complaints.found())


def _content(files: SiteFiles, name: str, largest: int, complaints: Complaints) -> bytes | None:
    """Return the bytes of a file, or None after complaining that it is empty, too large or unreadable."""
    try:
        if files.size(name) > largest:
            complaints.error(name, "", "too-large", megabytes=files.size(name) / 1e6, most=largest / 1e6)
            return None
        with files.open(name) as handle:
            data = handle.read(largest + 1)
    except OSError:
        complaints.error(name, "", "unreadable-file")
        return None
    if not data.strip():
        complaints.error(name, "", "empty-file")
        return None
    return data


def _marks(files: SiteFiles, sheet: Sheet, complaints: Complaints) -> dict[str, tuple[Mark, ...]]:
    data = _content(files, MARKS, _LARGEST[MARKS], complaints) if MARKS in files.names() else None
    if data is None:
        return {}
    outlines: dict[str, Polygon | None] = {one.id: one.pad.outline if one.pad else None for one in sheet.pads}
    return read_marks(data, MARKS, outlines, sheet.record.job.units, complaints)


def _pad(
    files: SiteFiles,
    sheet: PadSheet,
    pad: Pad,
    site: Sheet,
    marks: tuple[Mark, ...],
    site_answers: dict[str, FactValue],
    complaints: Complaints,
) -> Pad:
    answers = merged(site_answers, read_answers(sheet.answers))
    shots = _shots(files, sheet, pad, site, complaints)
    return replace(pad, marks=marks, answers=answers, shots=shots, surface=pad.surface or _told_surface(answers))


def _told_surface(answers: tuple[Answer, ...]) -> str | None:
    """Return what somebody answered that the pad is made of: rules and cautions ask the pad for it."""
    return next((a.value for a in answers if a.fact == "surface" and isinstance(a.value, str)), None)


def _shots(files: SiteFiles, sheet: PadSheet, pad: Pad, site: Sheet, complaints: Complaints) -> Shots | None:
    """Return the heights of a pad from the file that it names, if that can be read."""
    if sheet.shots is None:
        return None
    name, at = plain_name(sheet.shots), f"{sheet.at}, shots"
    if name is None:
        complaints.error(SITE, at, "file-outside", name=short(sheet.shots))
        return None
    if name not in files.names():
        near = nearest(name, files.names(), 0.7)
        do = say("site.did-you-mean", near=near) if near else say("site.file-missing-do", name=short(name))
        complaints.error(SITE, at, "file-missing", do=do, name=short(name))
        return None
    points = read_heights(files, name, sheet, pad, site.record.job.units, complaints)
    return None if points is None else shots_of(points, pad.outline, name, complaints)


def read_heights(
    files: SiteFiles,
    name: str,
    sheet: PadSheet,
    pad: Pad,
    system: UnitSystem,
    complaints: Complaints,
    seen: Seen | None = None,
) -> PointList | None:
    """Return the points of a file about a pad, in its frame, or None after saying why there are none.

    Parameters
    ----------
    files, name
        Where the file is, and which.
    sheet, pad
        What ``site.toml`` tells of the pad.
    system : {"us", "metric"}
        The units of the job.
    complaints : Complaints
        Takes in what is wrong and what was chosen.
    seen : Seen or None
        Takes in what the file holds.
    """
    try:
        with files.open(name) as handle:
            kind = kind_of(handle.read(HEAD))
    except OSError:
        complaints.error(name, "", "unreadable-file")
        return None
    if kind in SURVEYS:
        return surveyed(files, name, kind, pad, f"{sheet.at}, place", system, complaints, seen)
    if kind in ("text", "empty"):
        return _listed(files, name, sheet, pad, system, complaints, seen or Seen())
    code = "no-points" if kind == "binary" else "not-read-yet"
    complaints.error(name, "", code, format=say(f"site.format-{kind}"))
    return None


def _listed(
    files: SiteFiles,
    name: str,
    sheet: PadSheet,
    pad: Pad,
    system: UnitSystem,
    complaints: Complaints,
    seen: Seen,
) -> PointList | None:
    """Return the points of a list, brought into the pad's frame where they stand in a survey's."""
    data = _content(files, name, _LARGEST_SHOTS, complaints)
    points = read_points(data, name, system, pad.outline, complaints, sheet.columns, seen) if data else None
    if points is None or seen.unit is None or sheet.columns is None or not sheet.columns.is_survey:
        return points
    return placed_list(points, seen.unit, pad, name, f"{sheet.at}, place", system, complaints)


def _tell_unused(files: SiteFiles, sheet: Sheet, complaints: Complaints) -> None:
    """Tell of data files that nothing names, most likely meant to be read."""
    named = {plain_name(one.shots) for one in sheet.pads if one.shots} | {SITE, MARKS}
    for name in files.names():
        if name in named or name.startswith((FOLDER, ".")) or "/" in name or not name.lower().endswith(_DATA):
            continue
        is_marks = MARKS not in files.names() and name.lower().endswith((".geojson", ".json"))
        do = say("site.did-you-mean-file", near=name, name=MARKS) if is_marks else say("site.file-unused-do", name=name)
        complaints.note(name, "", "file-unused", do=do)

"""Survey files of a walk: named by UUID, with what was told of their columns and of where the pad lies."""

from __future__ import annotations

import hashlib
import io
import itertools
import uuid
from typing import Any

import laspy
import numpy as np
import pyproj
import pytest

from courtwright.site.files import HeldFiles
from courtwright.site.survey_look import look_at
from courtwright.site.walk_of import walk_of
from courtwright.site.walked import project, site_files

OUTLINE = [[0, 0], [18, 0], [18, 36], [0, 36]]
#: The same three places, at 5 m and at 7 m.
FIVE, SEVEN = (f"a;b;c\n5{z};1,5;2\n5{z};9,5;2\n5{z};1,5;30\n".encode() for z in ("", "0"))
COLUMNS = {"easting": 2, "northing": 3, "elevation": 1, "heading_lines": 1}


def walk(**pad: Any) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Return a document with two files of one name, and their bytes by SHA-256."""
    held = {hashlib.sha256(data).hexdigest(): data for data in (FIVE, SEVEN)}
    one, other = held
    files = {
        "f1": {"name": "points.txt", "sha256": one, "columns": COLUMNS, "order": 1},
        "f2": {"name": "points.txt", "sha256": other, "columns": {**COLUMNS, "height_unit": "cm"}, "order": 1},
    }
    pads = {"p": {"id": "a", "outline": OUTLINE, **pad}}
    return {"walk": {"shape": 1, "units": "metric"}, "pads": pads, "files": files}, held


def heights(plain: dict[str, Any], held: dict[str, bytes]) -> list[float] | None:
    record = project(plain, held.get).record
    assert record is not None
    (pad,) = record.pads
    return None if pad.shots is None else pad.shots.xyz[:, 2].tolist()


# --- laws ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("file", "height"), [("f1", 5.0), ("f2", 0.5)])
def test_two_who_take_files_of_one_name_read_the_one_that_the_pad_names(file: str, height: float) -> None:
    """With what was told of that one: 5 m, and 50 cm."""
    plain, held = walk(shots=file)
    assert heights(plain, held) == [height] * 3


def test_a_file_taken_away_counts_no_more_and_what_was_typed_counts_again() -> None:
    """Nothing of the pad changes but where its heights come from."""
    plain, held = walk(shots="f1")
    plain["shots"] = {"s": {"pad": "p", "x": 3, "y": 3, "elevation": 12}}
    assert heights(plain, held) == [5.0] * 3
    plain["files"]["f1"]["withdrawn"] = True
    assert heights(plain, held) == [12.0]
    assert not [one for one in project(plain, held.get).complaints if one.weight == "error"]


def test_what_was_told_goes_through_a_folder_and_back() -> None:
    """Document, folder, document, folder: the same heights, and the file byte for byte."""
    plain, held = walk(shots="f2", place={"origin": [100, 200], "bearing_deg": 90})
    folder = site_files(plain, held.get)
    files = HeldFiles({name: folder.read(name) for name in folder.names()})
    count = itertools.count(1)
    again = walk_of(files, lambda: str(uuid.UUID(int=next(count))))
    by_hash = {sha256: folder.read(name) for sha256, name in again.blobs.items()}
    assert by_hash.keys() == held.keys()
    assert heights(again.plain, by_hash) == heights(plain, held) == [0.5] * 3


def test_a_list_in_a_survey_is_placed_only_where_it_is_told_so() -> None:
    """A place alone moves no list: it may be told for other files of the site."""
    place = {"origin": ["0", 0], "bearing_deg": "180"}
    plain, held = walk(shots="f1")
    plain["files"]["f1"]["place"] = place
    assert heights(plain, held) == [5.0] * 3
    plain["files"]["f1"]["columns"] = {**COLUMNS, "frame": "survey"}
    # Turned by half a circle about its corner, nothing lies on the pad.
    assert heights(plain, held) is None


def test_a_scan_in_a_map_tells_where_it_lies_before_it_is_placed() -> None:
    """By its head: so somebody can tell where the pad lies in it."""
    scan = laspy.LasData(laspy.LasHeader(point_format=6, version="1.4"))
    scan.header.offsets, scan.header.scales = [2000, 7000, 100], [0.001, 0.001, 0.001]
    scan.header.add_crs(pyproj.CRS("EPSG:26910+5703"))
    scan.x, scan.y, scan.z = np.array([[2001.5, 7002.25, 101], [2010, 7020, 101.5]]).T
    out = io.BytesIO()
    scan.write(out)
    site = b'[[pad]]\nid = "a"\noutline = [[0,0],[60,0],[60,60]]\nshots = "p.las"\n'
    look = look_at(HeldFiles({"site.toml": site, "p.las": out.getvalue()}), "p.las")
    assert look is not None
    assert (look.kind, look.seen.points, look.seen.unit, look.seen.height_unit) == ("las", 2, 1.0, 1.0)
    assert look.seen.extent == pytest.approx((2001.5, 7002.25, 2010.0, 7020.0))
    assert [one.code for one in look.complaints] == ["crs-without-place"]


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"easting": 3}, "columns-lack"),
        ({"easting": "left"}, "columns-lack"),
        ({"elevation": "unknown"}, "columns-lack"),
        ({"decimal": "dot"}, "unknown-word"),
        ({"unit": "yd"}, "unknown-word"),
        ({"colour": 1}, "unknown-key"),
    ],
)
def test_what_is_wrong_with_the_columns_is_told_with_its_place(change: dict[str, Any], code: str) -> None:
    """In ``site.toml``, at the table of the pad; the rest of the pad stays."""
    plain, held = walk(shots="f1")
    plain["files"]["f1"]["columns"] = {**COLUMNS, **change}
    projection = project(plain, held.get)
    assert projection.record is not None
    told = [one for one in projection.complaints if one.code == code]
    assert told
    assert told[0].at.startswith("pad a, columns")


def test_a_column_that_no_row_has_is_told_line_by_line() -> None:
    """No height is made up."""
    plain, held = walk(shots="f1")
    plain["files"]["f1"]["columns"] = {**COLUMNS, "elevation": 9}
    projection = project(plain, held.get)
    assert heights(plain, held) is None
    assert [one.at for one in projection.complaints if one.code == "row-short"] == ["line 2", "line 3", "line 4"]


def test_without_a_pad_nothing_is_looked_at() -> None:
    """There is nothing that heights could be of."""
    site = b'[[pad]]\nid = "a"\noutline = [[0,0],[1,1]]\nshots = "p.csv"\n'
    assert look_at(HeldFiles({"site.toml": site, "p.csv": FIVE}), "p.csv") is None

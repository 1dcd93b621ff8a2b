"""A site damaged anywhere is read as far as it is good, or refused in words: never a fault."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import BinaryIO

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.errors import InputError
from courtwright.says import Says
from courtwright.site.folder import read_files
from courtwright.trade.words import render

pytestmark = pytest.mark.soak

WHOLE: dict[str, bytes] = {
    "site.toml": b"""\
[job]
name = "Two pads"
units = "us"

[site]
walked_on = 2026-04-11

[[pad]]
id = "north"
outline = [[0, 0], [120, 0], [120, 60], [0, 60]]
built = 1972
surface = "asphalt"
asphalt_thickness = "2-1/2 in"
shots = "north.csv"

[[pad.court]]
id = "1"
sport = "tennis"
centre = [30, 30]
turned_deg = 0

[[pad.tally]]
court = "1"
mark = "crack"
length = 140
width = "1/2 in"

[pad.answers]
coats = 12

[[pad]]
id = "south"
outline = [[0, 0], [60, 0], [60, 30], [0, 30]]

[answers]
machine_access_width = "11 ft"
irrigation_beside = true
""",
    "marks.geojson": b"""\
{"type": "FeatureCollection", "units": "us", "features": [
 {"type": "Feature", "properties": {"mark": "crack", "pad": "north", "width": "1/2 in"},
  "geometry": {"type": "LineString", "coordinates": [[10, 5], [20, 15.5], [28, 22]]}},
 {"type": "Feature", "properties": {"mark": "old-repair", "pad": "north", "repair": "membrane", "state": "hollow"},
  "geometry": {"type": "Polygon", "coordinates": [[[40, 10], [60, 10], [60, 12], [40, 12], [40, 10]]]}},
 {"type": "Feature", "properties": {"mark": "trees", "pad": "south", "count": 3},
  "geometry": {"type": "Point", "coordinates": [62, 10]}}
]}
""",
    "north.csv": b"point,northing,easting,elevation,description\n"
    + b"".join(b"%d,%d,%d,%.3f,\n" % (i, i * 7 % 60, i * 11 % 120, 100 + 0.01 * (i % 9)) for i in range(24)),
}

#: What turns up in files that people and instruments write.
ODDITIES = (
    *(
        b"\x00",
        b"\xff\xfe",
        b"\xef\xbb\xbf",
        b"NaN",
        b"-1e999",
        b"1e400",
        b"inf",
        b"null",
        b"true",
        b"0",
        b"-",
        b"9" * 40,
    ),
    *(b"{", b"]]", b"[[", b"[]", b"{}", b'"', b"'''", b"=", b"..", b",,", b";", b"\t", b"\r", b"\n\n", "½é".encode()),
)


class Memory:
    """The files of a site, in memory."""

    def __init__(self, files: dict[str, bytes]) -> None:
        self.files = files

    def names(self) -> tuple[str, ...]:
        return tuple(sorted(self.files))

    def size(self, name: str) -> int:
        return len(self.files[name])

    def open(self, name: str) -> BinaryIO:
        return io.BytesIO(self.files[name])


Damage = Callable[[bytes], bytes]
shares = st.floats(0, 1)


def _cut(at: float, length: int) -> Damage:
    return lambda data: data[: int(at * len(data))] + data[int(at * len(data)) + length :]


def _put(at: float, what: bytes) -> Damage:
    return lambda data: data[: int(at * len(data))] + what + data[int(at * len(data)) :]


def _swap(at: float, what: bytes) -> Damage:
    return lambda data: data[: int(at * len(data))] + what + data[int(at * len(data)) + len(what) :]


def _twice(at: float, length: int) -> Damage:
    return lambda data: data[: int(at * len(data)) + length] + data[int(at * len(data)) :]


damages = st.one_of(
    st.builds(_cut, shares, st.integers(1, 60)),
    st.builds(_cut, shares, st.just(10**6)),
    st.builds(_put, shares, st.sampled_from(ODDITIES)),
    st.builds(_swap, shares, st.one_of(st.sampled_from(ODDITIES), st.binary(min_size=1, max_size=6))),
    st.builds(_twice, shares, st.integers(1, 200)),
)


def _spoken(says: Says) -> str:
    return render(says, "en") + render(says, "es")


def test_the_whole_site_is_read_without_an_error():
    """What is damaged below is good to begin with."""
    record = read_files(Memory(WHOLE), "site")
    assert [pad.id for pad in record.pads] == ["north", "south"]
    assert [c.code for c in record.complaints if c.weight == "error"] == []
    assert [len(pad.marks) for pad in record.pads] == [2, 1]


@given(name=st.sampled_from(sorted(WHOLE)), damage=st.lists(damages, min_size=1, max_size=3))
def test_a_damaged_site_is_read_or_refused_in_words(name: str, damage: list[Damage]):
    """Whatever happens to a file, what is left is a record with complaints, or an error that says what to do."""
    data = WHOLE[name]
    for one in damage:
        data = one(data)
    try:
        record = read_files(Memory({**WHOLE, name: data}), "site")
    except InputError as error:
        sentences = [error.problem, error.fix or error.problem]
        assert name == "site.toml"
    else:
        sentences = [says for complaint in record.complaints for says in (complaint.says, complaint.do)]
        assert record.pads
        assert all(pad.outline.is_valid and pad.outline.area > 0 for pad in record.pads)
        assert all(mark.geometry.is_valid for pad in record.pads for mark in pad.marks)
    assert all("⟨" not in _spoken(says) for says in sentences)

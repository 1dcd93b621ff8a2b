"""Point lists in any usual writing become heights of the pad; what is no height is told and never used."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.site import SiteRecord
from courtwright.site.complaints import Complaints
from courtwright.site.formats.columns import header_of, unit_of, writing_of
from courtwright.site.formats.points_csv import read_points
from courtwright.site.outline import outline_of
from courtwright.trade.words import render
from tests.places import DATA, shared_data
from tests.site.sites import METRIC, PAD, SHOTS, brief, read

FOOT = 0.3048
POINTS = [(20.0, 10.0, 100.25), (100.0, 20.0, 100.5), (60.0, 50.0, 99.75)]


def heights(record: SiteRecord) -> list[list[float]]:
    """Return the shots of the only pad, in metres."""
    shots = record.pads[0].shots
    return [] if shots is None else shots.xyz.tolist()


def expected(unit: float) -> list[list[float]]:
    """Return the shots above, in metres."""
    return [pytest.approx([v * unit for v in point]) for point in POINTS]


def rows(form: str, point: str = "p{i}") -> str:
    """Return the points written by a form that names e, n, z, i and p."""
    lines = [form.format(e=e, n=n, z=z, i=i, p=point.format(i=i)) for i, (e, n, z) in enumerate(POINTS, 1)]
    return "\n".join(lines) + "\n"


# --- laws ---------------------------------------------------------------------------------------

WAYS = {
    "the contract's": "point,northing,easting,elevation,description\n" + rows("{p},{n},{e},{z},ground"),
    "other columns": "Elev.,Pnt,East,North\n" + rows("{z},{p},{e},{n}"),
    "capitals and units": "PNT;E (ft);N (ft);Z (ft)\n" + rows("{p};{e};{n};{z}"),
    "Spanish": "Punto\tEste\tNorte\tCota\tDescripción\n" + rows("{p}\t{e}\t{n}\t{z}\tx"),
    "x y z": "x,y,z\n" + rows("{e},{n},{z}"),
    "blanks": "N E Z\n" + rows("{n}   {e}  {z}"),
    "quotes": '"point","northing","easting","elevation","description"\n' + rows('"{p}","{n}","{e}","{z}","a, b"'),
    "blank lines and remarks": "# from the level\n\nn,e,z\n\n" + rows("{n},{e},{z}") + "\n\n",
    "no header, point first": rows("{i},{n},{e},{z},ground"),
    "no header, names": rows("{p},{n},{e},{z}"),
    "no header, no point": rows("{n},{e},{z}"),
    "old line ends": ("n,e,z\n" + rows("{n},{e},{z}")).replace("\n", "\r"),
}


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
def test_a_list_is_read_however_it_is_written(way: str, encoding: str, tmp_path: Path):
    """Columns by name in any order, any delimiter, quotes, remarks, and every usual encoding; feet by the job."""
    record = read(tmp_path, {"site.toml": SHOTS, "s.csv": WAYS[way].encode(encoding)})
    assert heights(record) == expected(FOOT)
    assert record.complaints == ()


@pytest.mark.parametrize("delimiter", [";", "\t", " "])
def test_a_comma_may_be_the_decimal_mark(delimiter: str, tmp_path: Path):
    """100,25 is a hundred and a quarter where commas do not part columns."""
    text = rows(delimiter.join(("{i}", "{n}", "{e}", "{z}"))).replace(".", ",")
    assert heights(read(tmp_path, {"site.toml": METRIC, "s.csv": text})) == expected(1.0)


@pytest.mark.parametrize(
    ("header", "unit"),
    [
        ("n,e,z", FOOT),
        ("n (m),e (m),z (m)", 1.0),
        ("northing_m,easting_m,elevation_m", 1.0),
        ("N [usft],E [usft],Z [usft]", 1200 / 3937),
        ("# units: US survey feet\nn,e,z", 1200 / 3937),
    ],
)
def test_the_list_may_name_its_unit(header: str, unit: float, tmp_path: Path):
    """Metres, feet or survey feet in the header or a remark; else those of the job."""
    width, depth = f'"{120 * unit} m"', f'"{60 * unit} m"'
    pad = f'[[pad]]\nid = "n"\noutline = [[0,0],[{width},0],[{width},{depth}],[0,{depth}]]\n'
    text = header + "\n" + rows("{n},{e},{z}")
    assert heights(read(tmp_path, {"site.toml": pad + 'shots = "s.csv"\n', "s.csv": text})) == expected(unit)


def test_a_thousands_comma_in_quotes_is_no_decimal(tmp_path: Path):
    """The text 1,020.5 is a thousand and twenty and a half."""
    pad = '[[pad]]\nid = "n"\noutline = [[1000,1000],[1120,1000],[1120,1060],[1000,1060]]\nshots = "s.csv"\n'
    record = read(tmp_path, {"site.toml": pad, "s.csv": 'n,e,z\n"1,020.5","1,100",100\n'})
    assert heights(record) == [pytest.approx([1100 * FOOT, 1020.5 * FOOT, 100 * FOOT])]


@given(
    points=st.lists(
        st.tuples(st.floats(1, 119), st.floats(1, 59), st.floats(90, 110)).map(lambda p: tuple(round(v, 3) for v in p)),
        min_size=2,
        max_size=6,
        unique_by=lambda p: p[:2],
    ),
    delimiter=st.sampled_from([",", ";", "\t", " "]),
    comma=st.booleans(),
)
def test_writing_and_reading_is_the_identity(points: list[tuple[float, float, float]], delimiter: str, comma: bool):
    """Any list written by the contract is read back, whatever parts its columns."""
    text = "".join(f"{i}{delimiter}{n:.3f}{delimiter}{e:.3f}{delimiter}{z:.3f}\n" for i, (e, n, z) in enumerate(points))
    if comma and delimiter != ",":
        text = text.replace(".", ",")
    outline = outline_of([(0, 0), (120, 0), (120, 60), (0, 60)])
    found = read_points(text.encode(), "s.csv", "metric", outline, Complaints())  # type: ignore[arg-type]  # it is one
    assert found is not None
    assert np.allclose(found.xyz, points, atol=1e-9)


@pytest.mark.parametrize(
    ("text", "order"),
    [("{i},{n},{e},{z}", "northing first"), ("{i},{e},{n},{z}", "easting first")],
)
def test_without_a_header_the_pad_tells_northing_from_easting(text: str, order: str, tmp_path: Path):
    """The order that puts the shots on the pad is taken: the contract's without a word, the other with a note."""
    record = read(tmp_path, {"site.toml": SHOTS, "s.csv": rows(text)})
    assert heights(record) == expected(FOOT)
    assert [c.code for c in record.complaints] == ([] if order == "northing first" else ["order-by-place"])


def test_where_both_orders_fit_the_contracts_is_taken_and_asked_about(tmp_path: Path):
    """On a square pad nothing tells; northing stands first."""
    square = '[[pad]]\nid = "n"\noutline = [[0,0],[120,0],[120,120],[0,120]]\nshots = "s.csv"\n'
    record = read(tmp_path, {"site.toml": square, "s.csv": rows("{i},{n},{e},{z}")})
    assert heights(record) == expected(FOOT)
    assert brief(record.complaints) == [("s.csv", "", "order-not-told", "note")]


def test_a_pad_may_lie_anywhere_in_its_frame(tmp_path: Path):
    """State-plane coordinates, negative ones: easting is x."""
    pad = '[[pad]]\nid = "n"\noutline = [[-2000500,600000],[-2000380,600000],[-2000380,600060],[-2000500,600060]]\n'
    text = "n,e,z\n" + "".join(f"{n + 600000},{e - 2000500},{z}\n" for e, n, z in POINTS)
    record = read(tmp_path, {"site.toml": pad + 'shots = "s.csv"\n', "s.csv": text})
    assert len(heights(record)) == 3


def test_shots_of_one_place_that_agree_are_averaged(tmp_path: Path):
    """Two readings 4 mm apart are one height, with a note."""
    text = "n,e,z\n10,10,100.000\n10,10,100.004\n20,20,100.1\n"
    record = read(tmp_path, {"site.toml": METRIC, "s.csv": text})
    assert heights(record) == [pytest.approx([10, 10, 100.002]), [20, 20, 100.1]]
    assert [c.code for c in record.complaints] == ["shots-twice"]


# --- what is no height ----------------------------------------------------------------------------


@pytest.mark.parametrize(("apart", "is_kept"), [(0.009, True), (0.011, False)])
def test_shots_of_one_place_agree_to_a_centimetre(apart: float, is_kept: bool, tmp_path: Path):
    """9 mm apart they are averaged; 11 mm apart neither counts, and both lines are named."""
    text = f"x,y,z\n5,5,1.000\n5,5,{1 + apart}\n9,9,1.2\n2,8,1.1\n"
    record = read(tmp_path, {"site.toml": METRIC, "s.csv": text})
    assert len(heights(record)) == (3 if is_kept else 2)
    assert ("shots-disagree" in {complaint.code for complaint in record.complaints}) is not is_kept


@pytest.mark.parametrize(("beside", "count"), [(0.5, 3), (0.7, 2)])
def test_a_shot_beside_the_outline_is_the_pads_to_two_feet(beside: float, count: int, tmp_path: Path):
    """The outline was taped: half a metre off it a shot still counts, 0.7 m off it is other ground."""
    text = f"x,y,z\n-{beside},5,1.0\n9,9,1.2\n2,8,1.1\n"
    record = read(tmp_path, {"site.toml": METRIC, "s.csv": text})
    assert len(heights(record)) == count
    assert [c.code for c in record.complaints if c.code == "shots-off-pad"] == ["shots-off-pad"] * (3 - count)


def test_zeros_among_heights_below_a_datum_are_no_heights_either(tmp_path: Path):
    """A job whose heights lie about -12 m: 0.000 means "none" there too."""
    text = "x,y,z\n5,5,-12.0\n9,9,-12.2\n2,8,-12.1\n4,4,0.000\n"
    record = read(tmp_path, {"site.toml": METRIC, "s.csv": text})
    assert [z for _, _, z in heights(record)] == [-12.0, -12.2, -12.1]


def test_elevations_of_zero_among_others_far_from_it_are_no_heights(tmp_path: Path):
    """They are asked about in one complaint that tells how many and which, and left out."""
    text = "point,n,e,z\na,10,10,0.000\nb,10,20,230.5\nc,20,20,230.6\nd,20,30,0\n"
    record = read(tmp_path, {"site.toml": SHOTS, "s.csv": text})
    assert [z for _, _, z in heights(record)] == pytest.approx([230.5 * FOOT, 230.6 * FOOT])
    (complaint,) = record.complaints
    assert (complaint.code, complaint.weight) == ("elevation-zero", "note")
    assert "2 of 4" in render(complaint.says)
    assert "a, d" in render(complaint.says)


def test_an_elevation_of_zero_near_the_others_is_a_height(tmp_path: Path):
    """A survey whose datum is on the pad has zeros."""
    text = "n,e,z\n10,10,0.000\n10,20,0.05\n20,20,-0.03\n"
    record = read(tmp_path, {"site.toml": SHOTS, "s.csv": text})
    assert len(heights(record)) == 3
    assert record.complaints == ()


def test_a_list_of_nothing_but_zeros_is_asked_about(tmp_path: Path):
    """Nobody levelled: no shots."""
    record = read(tmp_path, {"site.toml": SHOTS, "s.csv": "n,e,z\n10,10,0\n10,20,0\n20,20,0\n"})
    assert record.pads[0].shots is None
    assert brief(record.complaints) == [("s.csv", "", "elevation-all-zero", "error")]


def test_a_real_list_with_zeros_is_asked_about_and_they_are_never_used(tmp_path: Path):
    """639 points of a subdivision, northing first, 286 of them without elevation; the lowest height is 230 ft."""
    data = shared_data("survey", "landxml_nathancrews", "subdivision_cgpoints_derived_pnezd.csv").read_bytes()
    pad = '[[pad]]\nid = "n"\noutline = [[-700,400],[2900,400],[2900,3400],[-700,3400]]\nshots = "s.csv"\n'
    record = read(tmp_path, {"site.toml": pad, "s.csv": data})
    zeros = next(c for c in record.complaints if c.code == "elevation-zero")
    assert "286 of 639" in render(zeros.says)
    shots = record.pads[0].shots
    assert shots is not None
    assert shots.xyz[:, 2].min() == pytest.approx(230 * FOOT)


@pytest.mark.parametrize(
    ("name", "format"),
    [
        ("hostile/xml_defusedxml/xmlbomb.xml", "XML"),
        ("hostile/csv_csvkit/sheets.xlsx", "zip"),
    ],
)
def test_formats_without_a_reader_are_refused_in_words(name: str, format: str, tmp_path: Path):
    """Known by content, whatever they are called; nothing of them is parsed, and the pad is kept."""
    record = read(tmp_path, {"site.toml": SHOTS, "s.csv": shared_data(*name.split("/")).read_bytes()})
    assert brief(record.complaints) == [("s.csv", "", "not-read-yet", "error")]
    for language in ("en", "es"):
        assert format in render(record.complaints[0].says, language)


def test_a_pdf_is_refused_in_words(tmp_path: Path):
    """As above, for a file made here."""
    record = read(tmp_path, {"site.toml": SHOTS, "s.csv": b"%PDF-1.7 nothing"})
    assert [c.code for c in record.complaints] == ["not-read-yet"]
    assert "PDF" in render(record.complaints[0].says)


# --- refusals -----------------------------------------------------------------------------------

HEAD = "point,northing,easting,elevation\na,10,10,100\n"


@pytest.mark.parametrize(
    ("text", "at", "code", "weight"),
    [
        (HEAD + "b,20\n", "line 3", "row-short", "error"),
        (HEAD + "b,20,20\n", "line 3", "row-short", "error"),
        (HEAD + "b,twenty,20,100\n", "line 3", "row-unread", "error"),
        (HEAD + "b,20,20,nan\n", "line 3", "row-unread", "error"),
        (HEAD + "b,inf,20,100\n", "line 3", "row-unread", "error"),
        (HEAD + "b,1e300,20,100\n", "line 3", "row-unread", "error"),
        (HEAD + "b,20,20,\n", "", "elevation-blank", "note"),
        (HEAD + "b,10,10,101\nc,20,20,100\n", "lines 2, 3", "shots-disagree", "error"),
        (HEAD + "b,20,500,100\n", "", "shots-off-pad", "note"),
        ("Job 12\n" + HEAD, "line 1", "row-passed-over", "note"),
    ],
)
def test_a_wrong_row_is_told_by_its_line_and_the_others_kept(
    text: str, at: str, code: str, weight: str, tmp_path: Path
):
    """One complaint a row; the good ones are heights."""
    record = read(tmp_path, {"site.toml": SHOTS, "s.csv": text})
    assert brief(record.complaints) == [("s.csv", at, code, weight)]
    assert len(heights(record)) == 1


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("", "empty-file"),
        ("\n \n", "empty-file"),
        ("words and\nmore words\n", "no-points"),
        ("point,northing,easting,elevation\n", "no-points"),
        ("1,2\n3,4\n", "no-points"),
        ("point,northing,elevation,code\n1,2,3,4\n", "header-lacks"),
        (b"\x00\x01\x02\x03" * 99, "no-points"),
        (b"\xff\xfe" + b"\xd8" * 99, "no-points"),
        ("n,e,z\n1000,1000,100\n1010,1010,100\n", "shots-all-off-pad"),
        ("n,e,z\n10,10,100\n".replace("10,10", "90,30"), "shots-all-off-pad-swapped"),
        ("n,e,z\n10,-300,100\n".replace("10,-300", "15,250").replace("250", "300"), "shots-all-off-pad-feet"),
    ],
)
def test_a_list_without_heights_of_the_pad_is_told(text: str | bytes, code: str, tmp_path: Path):
    """Empty, no list, a header without elevation, all off the pad: with what would mend it where that is plain."""
    record = read(tmp_path, {"site.toml": SHOTS, "s.csv": text})
    assert [(c.code, c.weight) for c in record.complaints] == [(code, "error")]
    assert record.pads[0].shots is None


def test_thousands_of_wrong_rows_are_told_within_bounds(tmp_path: Path):
    """A thousand one by one, the rest in one complaint with their number and place."""
    record = read(tmp_path, {"site.toml": SHOTS, "s.csv": "n,e,z\n10,10,100\n20,20,100\n" + "1,x,y\n" * 1500})
    assert len(record.complaints) == 1001
    assert record.complaints[-1].at == "lines 1004 to 1503"
    assert len(heights(record)) == 2


@pytest.mark.parametrize("file", sorted((DATA / "hostile").glob("*.csv")), ids=lambda f: f.stem)
def test_tables_of_other_things_are_no_shots(file: Path, tmp_path: Path):
    """Odd encodings, NUL bytes, locale numbers: told, never raised."""
    record = read(tmp_path, {"site.toml": SHOTS, "s.csv": file.read_bytes()})
    assert record.pads[0].shots is None
    assert [c.weight for c in record.complaints] == ["error"]


def test_the_parts_of_a_list_are_known_alone():
    """Header words, units and delimiters, without a file."""
    assert header_of(["Name", "Y", "X", "Height"]) == {"point": 0, "northing": 1, "easting": 2, "elevation": 3}
    assert header_of(["name", "colour"]) is None
    assert unit_of(["easting", "description"]) is None
    assert writing_of(["a b c"]) is None
    assert PAD in SHOTS

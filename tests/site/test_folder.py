"""A site is read whole: every value in SI, the good kept, every wrong place told, nothing wrong past this door."""

from __future__ import annotations

import ast
import datetime as dt
import math
import zipfile
from pathlib import Path

import pytest

from courtwright.errors import ArchiveError, CallError, InputError
from courtwright.measured import Span
from courtwright.site import NothingLeftError, read_site
from courtwright.trade.words import render, texts
from tests.places import DATA, ROOT, shared_data
from tests.site.sites import PAD, SHOTS, brief, collection, feature, folder, read, told, zipped

WHOLE = {
    "site.toml": """
[job]
name = "Two pads"
customer = "club"
units = "us"
prevailing_wage = false

[site]
address = "Mill Lane"
lat = 41.2
lon = -73.9
walked_on = 2026-04-11
walked_by = "A. Reyes"

[[pad]]
id = "n"
outline = [[0,0],[120,0],[120,60],[0,60]]
built = 1972
surface = "unknown"
coating = "acrylic"
last_resurfaced = 2008
asphalt_thickness = "2-1/2 in"
base_thickness = 0.5
shots = "n.csv"
north_deg = 90

[[pad.court]]
id = "1"
sport = "tennis"
centre = [30, 30]
turned_deg = 180

[[pad.tally]]
court = "1"
mark = "crack"
length = 140
width = "1/2 in"

[pad.answers]
coats = "unknown"

[[pad]]
id = "s"
outline = [["-10 ft", 0],[20,0],[20,"30 ft"]]

[answers]
machine_access_width = "11 ft"
irrigation_beside = true
coats = 12
""",
    "n.csv": "point,northing,easting,elevation,description\na,10,20,100.0,x\nb,20,100,100.5,y\n",
    "marks.geojson": collection(
        feature("LineString", [[10, 10], [20, 10]], mark="crack", width="1/2 in", step=0.02),
        feature("Point", [130, 10], mark="trees", count=3, trunk_diameter="18 in"),
    ),
}

# --- laws ---------------------------------------------------------------------------------------


def test_every_value_of_a_site_is_read_in_si(tmp_path: Path):
    """Feet become metres, degrees radians, easting x and northing y; unknown is None."""
    record = read(tmp_path, WHOLE)
    north, south = record.pads
    assert record.complaints == ()
    assert (record.job.name, record.job.customer, record.job.prevailing_wage) == ("Two pads", "club", False)
    assert (record.address, record.lat, record.walked_on) == ("Mill Lane", 41.2, dt.date(2026, 4, 11))
    assert north.outline.area == pytest.approx(7200 * 0.3048**2)
    assert (north.built, north.surface, north.coating, north.last_resurfaced) == (1972, None, "acrylic", 2008)
    assert (north.asphalt_thickness, north.base_thickness) == (0.0635, 0.1524)
    assert north.north == math.pi / 2
    assert (north.courts[0].centre, north.courts[0].turned) == ((9.144, 9.144), math.pi)
    assert north.shots is not None
    assert north.shots.xyz[0] == pytest.approx([20 * 0.3048, 10 * 0.3048, 30.48])
    assert north.shots.names == ("a", "b")
    crack, trees = north.marks
    assert (crack.id, crack.geometry.length, crack.number("width")) == ("crack-1", pytest.approx(3.048), 0.0127)
    assert trees.number("trunk_diameter") == pytest.approx(18 * 0.0254)
    (tally,) = north.tallies
    assert (tally.court, tally.length, tally.properties) == ("1", pytest.approx(42.672), {"width": 0.0127})
    assert south.outline.bounds == pytest.approx((-3.048, 0, 6.096, 9.144))


def test_the_pads_own_answers_win_over_the_sites(tmp_path: Path):
    """What is said of one pad holds for it, also when it is "unknown"; the other pad keeps the site's."""
    north, south = read(tmp_path, WHOLE).pads
    assert {a.fact: a.value for a in north.answers} == {
        "machine_access_width": Span(3.3528, 3.3528),
        "irrigation_beside": True,
        "coats": None,
    }
    assert {a.fact: a.value for a in south.answers}["coats"] == Span(12, 12)


def test_what_somebody_answered_of_the_surface_is_that_of_the_pad(tmp_path: Path):
    """Rules and cautions ask the pad; what the pad's own table says stays."""
    told_of_all = read(tmp_path / "a", {"site.toml": PAD + '[answers]\nsurface = "asphalt"\n'})
    assert [pad.surface for pad in told_of_all.pads] == ["asphalt"]
    own = PAD.replace('id = "n"', 'id = "n"\nsurface = "post-tensioned"')
    assert own != PAD
    kept = read(tmp_path / "b", {"site.toml": own + '[answers]\nsurface = "asphalt"\n'})
    assert [pad.surface for pad in kept.pads] == ["post-tensioned"]


def test_a_zip_reads_as_its_folder(tmp_path: Path):
    """The same record from a folder, a zip of its files, and a zip of the folder, whatever they are called."""
    record = read(tmp_path / "a", WHOLE)
    flat = read_site(zipped(tmp_path / "site.dat", WHOLE))
    nested = read_site(zipped(tmp_path / "b.zip", {f"walk/{name}": text for name, text in WHOLE.items()}))
    for other in (flat, nested):
        assert [p.outline for p in other.pads] == [p.outline for p in record.pads]
        assert [p.marks for p in other.pads] == [p.marks for p in record.pads]
        assert [p.answers for p in other.pads] == [p.answers for p in record.pads]
        assert other.complaints == ()


def test_only_id_and_outline_are_needed(tmp_path: Path):
    """Everything else is optional, and missing without a complaint."""
    record = read(tmp_path, {"site.toml": PAD})
    assert record.complaints == ()
    assert record.pads[0].shots is None
    assert record.pads[0].marks == ()


def test_a_site_may_be_written_in_metres(tmp_path: Path):
    """Metric job, metric lengths and areas; a string with a unit is read in its own."""
    tally = '[[pad.tally]]\nmark = "worn"\narea = 12\n[[pad.tally]]\nmark = "crack"\nlength = "10 ft"\n'
    record = read(tmp_path, {"site.toml": '[job]\nunits = "metric"\n' + PAD + tally})
    assert record.pads[0].outline.area == 7200
    assert [t.area or t.length for t in record.pads[0].tallies] == [12, 3.048]


def test_marks_may_have_units_of_their_own(tmp_path: Path):
    """The member of the collection wins over the job's units, for coordinates and properties."""
    marks = collection(feature("LineString", [[1, 1], [3, 1]], mark="crack", width=0.01), units="metric")
    (crack,) = read(tmp_path, {"site.toml": PAD, "marks.geojson": marks}).pads[0].marks
    assert (crack.geometry.length, crack.number("width")) == (2, 0.01)


def test_ids_stay_the_same_when_the_record_is_read_again(tmp_path: Path):
    """A feature's own id, else its kind and ordinal on its pad, good and bad ones counted alike."""
    line = [[1, 1], [5, 5]]
    own = {**feature("LineString", line, mark="crack"), "id": "c7"}
    bad = feature("LineString", [[1, 1]], mark="crack")
    marks = collection(own, bad, feature("LineString", line, mark="crack"), feature("Point", [1, 1], mark="post"))
    record = read(tmp_path, {"site.toml": PAD, "marks.geojson": marks})
    assert [mark.id for mark in record.pads[0].marks] == ["c7", "crack-3", "post-1"]


# --- refusals: one wrong place each --------------------------------------------------------------

TOML_CASES = {
    "unknown table": (PAD + "[anwsers]\ncoats = 1\n", [("anwsers", "unknown-key")]),
    "unknown key": (PAD + 'surfce = "asphalt"\n', [("pad n, surfce", "unknown-key")]),
    "unknown word": (PAD + 'surface = "asfalt"\n', [("pad n, surface", "unknown-word")]),
    "number in quotes": (PAD + 'built = "1972"\n', [("pad n, built", "not-a-number")]),
    "year out of range": (PAD + "built = 72\n", [("pad n, built", "out-of-range")]),
    "length nobody can read": (PAD + 'asphalt_thickness = "two"\n', [("pad n, asphalt_thickness", "quantity")]),
    "length not a number": (PAD + "asphalt_thickness = nan\n", [("pad n, asphalt_thickness", "quantity")]),
    "date": (PAD + '[site]\nwalked_on = "soon"\n', [("site, walked_on", "no-date")]),
    "latitude": (PAD + "[site]\nlat = 141.0\n", [("site, lat", "out-of-range")]),
    "no pad id": (PAD + "[[pad]]\noutline = [[0,0],[9,0],[9,9]]\n", [("pad 2", "pad-no-id")]),
    "pad id twice": (PAD + PAD, [("pad 2, id", "pad-twice")]),
    "no outline": (PAD + '[[pad]]\nid = "m"\n', [("pad m, outline", "no-outline")]),
    "two corners": (PAD + '[[pad]]\nid = "m"\noutline = [[0,0],[9,9]]\n', [("pad m, outline", "outline-few-corners")]),
    "corner not finite": (
        PAD + '[[pad]]\nid = "m"\noutline = [[0,0],[9,inf],[9,9]]\n',
        [("pad m, outline, corner 2", "bad-corner")],
    ),
    "outline crosses": (
        PAD + '[[pad]]\nid = "m"\noutline = [[0,0],[9,9],[9,0],[0,9]]\n',
        [("pad m, outline", "outline-crosses")],
    ),
    "outline too small": (
        PAD + '[[pad]]\nid = "m"\noutline = [[0,0],[1,0],[1,1]]\n',
        [("pad m, outline", "outline-size")],
    ),
    "court of no known sport": (
        PAD + '[[pad.court]]\nid = "1"\nsport = "tenis"\ncentre = [30,30]\n',
        [("pad n, court 1, sport", "unknown-word")],
    ),
    "court without a sport": (
        PAD + '[[pad.court]]\nid = "1"\ncentre = [30,30]\n',
        [("pad n, court 1, sport", "court-no-sport")],
    ),
    "court off the pad": (
        PAD + '[[pad.court]]\nid = "1"\nsport = "tennis"\ncentre = [300,30]\n',
        [("pad n, court 1, centre", "court-off-pad")],
    ),
    "court id twice": (
        PAD + '[[pad.court]]\nid = "1"\nsport = "tennis"\ncentre = [30,30]\n' * 2,
        [("pad n, court 2, id", "court-twice")],
    ),
    "tally of nothing": (PAD + '[[pad.tally]]\nmark = "crack"\n', [("pad n, tally 1", "tally-how-much")]),
    "tally of two sizes": (
        PAD + '[[pad.tally]]\nmark = "crack"\nlength = 1\ncount = 2\n',
        [("pad n, tally 1", "tally-how-much")],
    ),
    "tally of no kind": (
        PAD + '[[pad.tally]]\nmark = "crak"\nlength = 1\n',
        [("pad n, tally 1, mark", "unknown-word")],
    ),
    "tally on no court": (
        PAD + '[[pad.tally]]\nmark = "crack"\ncourt = "9"\nlength = 1\n',
        [("pad n, tally 1, court", "unknown-court")],
    ),
    "answer to no question": (
        PAD + "[answers]\nmachine_acess_width = 11\n",
        [("answers, machine_acess_width", "unknown-fact")],
    ),
    "answer nobody can read": (PAD + '[answers]\noutlet_within = "far"\n', [("answers, outlet_within", "quantity")]),
    "share over one": (PAD + "[pad.answers]\nhollow_share = 30\n", [("pad n, answers, hollow_share", "quantity")]),
    "shots file missing": (SHOTS, [("pad n, shots", "file-missing")]),
    "shots file outside": (PAD + 'shots = "../s.csv"\n', [("pad n, shots", "file-outside")]),
    "slip in a later table": (PAD + "[site]\naddress = “Mill Lane”\n", [("line 5, column 11", "not-toml")]),
    "cut off": (PAD + '[site]\naddress = "Mill', [("line 5, column 16", "not-toml")]),
    "nested too deep": (PAD + "[site]\naddress = " + "[" * 9999, [("", "too-deep")]),
    "a key of too many parts": (PAD + "[site]\n" + "a." * 5000 + "b = 1", [("line 5", "too-deep")]),
}


@pytest.mark.parametrize("case", TOML_CASES)
def test_a_wrong_place_in_site_toml_is_told_and_the_pad_kept(case: str, tmp_path: Path):
    """Each slip is one error at its place; the good pad is still there."""
    text, expected = TOML_CASES[case]
    record = read(tmp_path, {"site.toml": text})
    assert brief(record.complaints) == [("site.toml", at, code, "error") for at, code in expected]
    assert record.pads[0].id == "n"


def test_all_wrong_places_are_told_at_once(tmp_path: Path):
    """Ten slips in one file are ten complaints, not the first alone."""
    text = '[job]\nunit = "us"\ncustomer = "clubb"\n[site]\nlat = "x"\n' + PAD
    text += 'surfce = "asphalt"\nbuilt = "1972"\nasphalt_thickness = "two"\n'
    text += '[[pad.court]]\nsport = "tenis"\ncentre = [30,30]\n[[pad.tally]]\nmark = "crak"\nlength = 3\n'
    text += '[answers]\nmachine_acess_width = 11\n[[pad]]\nid = "m"\n'
    assert len(read(tmp_path, {"site.toml": text}).complaints) == 10


@pytest.mark.parametrize(
    ("key", "near"),
    [("surfce", "surface"), ("out_line", "outline"), ("asphalt thickness", "asphalt_thickness"), ("Built", "built")],
)
def test_an_unknown_key_is_told_with_the_nearest_known(key: str, near: str, tmp_path: Path):
    """Did you mean …?"""
    (complaint,) = read(tmp_path, {"site.toml": PAD + f'"{key}" = 1\n'}).complaints
    assert render(complaint.do) == f'did you mean "{near}"?'


@pytest.mark.parametrize(
    ("files", "code"),
    [
        ({"site.toml": ""}, "empty-file"),
        ({"site.toml": b"\x00\x01\x02\xff" * 999}, "not-text"),
        ({"site.toml": PAD[:20]}, "not-toml"),
        ({"site.toml": "a" * 600_000}, "too-large"),
        ({"site.toml": PAD.replace("[120,0],[120,60]", "[120,60],[120,0]")}, "outline-crosses"),
    ],
)
def test_nothing_left_is_refused_with_every_complaint(files: dict[str, str | bytes], code: str, tmp_path: Path):
    """Without a usable pad there is no record, and the refusal still tells what was wrong."""
    with pytest.raises(NothingLeftError) as caught:
        read(tmp_path, files)
    assert code in [c.code for c in caught.value.complaints]


def test_what_is_no_site_is_refused(tmp_path: Path):
    """No such path is a wrong call; a folder without site.toml and a file that is no zip are wrong input."""
    with pytest.raises(CallError):
        read_site(tmp_path / "nowhere")
    with pytest.raises(NothingLeftError, match="no-site-toml"):
        read_site(folder(tmp_path / "empty", {"notes.md": "x"}))
    for name, content in (
        ("a.zip", b"PK\x03\x04cut off"),
        ("b.zip", b"words"),
        ("c.zip", b""),
        ("d.zip", b"PK\x05\x06"),
    ):
        (tmp_path / name).write_bytes(content)
        with pytest.raises(InputError):
            read_site(tmp_path / name)


# --- refusals: archives ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    "name", ["../evil.csv", "a/../../evil.csv", "/etc/evil", "\\evil", "C:\\evil.csv", "..\\evil.csv"]
)
def test_an_archive_whose_names_leave_its_folder_is_refused_whole(name: str, tmp_path: Path):
    """Nothing of it is read, and nothing is written anywhere."""
    archive = zipped(tmp_path / "a.zip", {**WHOLE, name: "x"})
    with pytest.raises(ArchiveError, match="archive-name"):
        read_site(archive)
    assert [file.name for file in tmp_path.iterdir()] == ["a.zip"]


def test_an_archive_with_a_link_is_refused(tmp_path: Path):
    """A link may point anywhere."""
    link = zipfile.ZipInfo("north.csv")
    link.external_attr = 0o120777 << 16
    with zipfile.ZipFile(tmp_path / "a.zip", "w") as archive:
        archive.writestr("site.toml", PAD)
        archive.writestr(link, "/etc/passwd")
    with pytest.raises(ArchiveError, match="archive-link"):
        read_site(tmp_path / "a.zip")


@pytest.mark.parametrize("files", [{"s.csv": b"0" * 30_000_000}, {f"{n}.csv": b"0" * 900_000 for n in range(40)}])
def test_an_archive_that_would_grow_a_thousandfold_is_refused(files: dict[str, bytes], tmp_path: Path):
    """One file or many: sizes are summed before anything is unpacked."""
    with pytest.raises(ArchiveError, match="archive-bomb"):
        read_site(zipped(tmp_path / "a.zip", {"site.toml": PAD, **files}))


def test_a_damaged_file_in_an_archive_loses_only_itself(tmp_path: Path):
    """A wrong checksum is told at its file; the rest is read."""
    archive = zipped(tmp_path / "a.zip", {**WHOLE, "n.csv": "1,2,3,4\n" * 50}, zipfile.ZIP_STORED)
    archive.write_bytes(archive.read_bytes().replace(b"1,2,3,4\n1,2,3,4", b"1,2,3,4\n1,2,9,4", 1))
    record = read_site(archive)
    assert brief(record.complaints) == [("n.csv", "", "unreadable-file", "error")]
    assert len(record.pads[0].marks) == 2


@pytest.mark.parametrize("file", sorted((DATA / "hostile").glob("*.zip")), ids=lambda f: f.stem)
def test_odd_archives_are_refused_in_words(file: Path):
    """Archives that broke another reader: none is a site, each says so."""
    with pytest.raises(InputError) as caught:
        read_site(file)
    assert "⟨" not in render(caught.value.problem, "es")


@pytest.mark.parametrize("kind", ["zip", "json", "csv", "png", "jpeg", "tiff", "xml"])
def test_fuzzed_files_in_every_place_of_a_site_are_told(kind: str, tmp_path: Path):
    """Whatever stands for marks, shots or a photo, the pad is read and nothing but complaints comes of it."""
    for file in sorted(shared_data("hostile", "gofuzz", kind).iterdir()):
        data = file.read_bytes()
        files = {"site.toml": SHOTS, "marks.geojson": data, "s.csv": data, "photos/a.jpg": data}
        record = read(tmp_path / file.stem, files)
        assert record.pads[0].id == "n"
        if not data.strip():
            continue
        assert {c.file for c in record.complaints} & {"marks.geojson", "s.csv"}, file.name


# --- refusals: files named or lying about -----------------------------------------------------------


def test_a_huge_file_of_garbage_is_told_at_once(tmp_path: Path):
    """200 MB called .csv are known by their first bytes or their size, without being read."""
    site = folder(tmp_path, {"site.toml": SHOTS + PAD.replace('"n"', '"m"') + 'shots = "t.csv"\n'})
    for name, head in (("s.csv", b"\x89\x00\x01"), ("t.csv", b"words and words\n")):
        with (site / name).open("wb") as file:
            file.write(head * 10_000)
            file.truncate(200_000_000)
    record = read_site(site)
    assert brief(record.complaints) == [("s.csv", "", "no-points", "error"), ("t.csv", "", "too-large", "error")]


def test_links_that_leave_the_folder_and_devices_are_not_followed(tmp_path: Path):
    """A link to a file elsewhere is no file of the site."""
    (tmp_path / "secret.csv").write_text("1,2,3,4\n")
    site = folder(tmp_path / "site", {"site.toml": SHOTS})
    (site / "s.csv").symlink_to(tmp_path / "secret.csv")
    assert [c.code for c in read_site(site).complaints] == ["file-missing"]


def test_a_file_that_nothing_names_is_told(tmp_path: Path):
    """A note, with the likely reason: marks under another name, or shots that no pad names."""
    record = read(tmp_path, {"site.toml": PAD, "mark.geojson": collection(), "s.csv": "1,2,3,4\n", "notes.md": "x"})
    assert brief(record.complaints) == [
        ("mark.geojson", "", "file-unused", "note"),
        ("s.csv", "", "file-unused", "note"),
    ]
    assert 'rename it "marks.geojson"' in render(record.complaints[0].do)


# --- every complaint has its words ------------------------------------------------------------------


def _codes() -> set[str]:
    """Return every code that this room's source passes to a complaint."""
    found: set[str] = set()
    for file in (ROOT / "src/courtwright/site").rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Attribute)
                and node.func.attr in ("error", "note")
            ):
                code = node.args[2] if len(node.args) > 2 else None
                found |= {code.value} if isinstance(code, ast.Constant) else set()
    return found


def test_every_code_has_a_sentence_and_says_what_to_do():
    """``site.<code>`` and, unless the code gives another, ``site.<code>-do``, in both languages."""
    codes = _codes()
    assert len(codes) > 40
    given_elsewhere = {"unknown-key", "unknown-word", "odd-word", "unknown-mark", "unknown-pad", "unknown-fact"}
    given_elsewhere |= {"impossible-length", "doubtful-length"}
    assert {code for code in codes if f"site.{code}" not in texts()} == set()
    assert {c for c in codes - given_elsewhere if f"site.{c}-do" not in texts()} == set()


def test_every_complaint_is_told_in_both_languages(tmp_path: Path):
    """No sentence of a site full of slips lacks its words or its values."""
    number = 0
    for number, (text, _) in enumerate(TOML_CASES.values()):
        for complaint in told(tmp_path / str(number), {"site.toml": text}):
            for language in ("en", "es"):
                said = render(complaint.says, language) + render(complaint.do, language)
                assert "⟨" not in said
                assert "{" not in said
    assert number + 1 == len(TOML_CASES)

"""The tables, drawings and the calendar, read back by other programs' libraries."""

from __future__ import annotations

import datetime as dt
import io
import json
import zipfile
from dataclasses import replace
from pathlib import Path

import ezdxf
import openpyxl
import pyogrio
import pytest
import shapely
from ezdxf import recover
from icalendar import Calendar

from courtwright.measured import Measured
from courtwright.offer import offer_files
from courtwright.offer.days import dated_steps, in_sequence
from courtwright.site.record import Mark
from tests.offer import specimens
from tests.offer.papers import MAKERS, files_of, request_of

# --- workbook ------------------------------------------------------------------------------------


def book(name: str) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(files_of(name)["quantities.xlsx"]))


def test_there_is_a_sheet_for_every_pad_in_trade_units_and_metric():
    """33 m of membrane is 108.27 lf; both stand in the row, with the option they belong to."""
    assert book("two-pads").sheetnames == ["upper", "lower"]
    rows = list(book("two-pads")["lower"].iter_rows(values_only=True))
    (row,) = (r for r in rows if r[0] and r[0].startswith("A.") and 33.0 in r)
    assert row[3:7] == (108.27, "lf", 33, "m")
    assert "in the firm price" in row


def test_contingent_work_has_its_rate_and_no_quantity():
    """It is billed by the unit, as found, at a number that can be calculated with."""
    rows = list(book("two-pads")["lower"].iter_rows(min_row=5, values_only=True))
    (row,) = (r for r in rows if r[8])
    assert not row[3]
    assert row[8] == 13.0
    assert row[7] == "by the unit, as found"


def test_a_row_without_work_is_left_out_and_every_row_names_what_it_is_for():
    """Nought of something is nothing to order; an option's own work goes by the option's title."""
    request = request_of("two-pads")
    work = request.work["lower", "repair"]
    first, *rest = work.quantities
    none = replace(first, amount=replace(first.amount, value=0.0))
    own = replace(rest[0], remedy="hold")
    changed = {**request.work, ("lower", "repair"): replace(work, quantities=(none, own, *rest[1:]))}
    content = offer_files(replace(request, work=changed))["quantities.xlsx"]
    rows = list(openpyxl.load_workbook(io.BytesIO(content))["lower"].iter_rows(min_row=5, values_only=True))
    assert 0 not in [row[3] for row in rows]
    assert "Keep in use for now: clean, fill, watch" in [row[2] for row in rows]


@pytest.mark.parametrize("name", MAKERS)
def test_no_text_becomes_a_formula_or_a_link(name: str):
    """Whatever a pad is called."""
    for sheet in book(name):
        for row in sheet.iter_rows():
            for cell in row:
                assert cell.data_type != "f"
                assert cell.hyperlink is None
    with zipfile.ZipFile(io.BytesIO(files_of(name)["quantities.xlsx"])) as parts:
        assert not any(b"<f>" in parts.read(part) for part in parts.namelist())


def test_a_pad_called_like_a_formula_keeps_its_name_as_text():
    """The sheet's own name is made fit for a workbook."""
    (sheet,) = book("hostile")
    assert "=1+1" in sheet["A1"].value
    assert not set(sheet.title) & set("[]:*?/\\'")


# --- GeoPackage and DXF --------------------------------------------------------------------------


def test_what_is_said_of_a_mark_carries_its_unit(tmp_path: Path):
    """A crack 10 mm wide with a filler: the length ends in its unit, the word does not."""
    request = request_of("two-pads")
    crack = Mark("c", "crack", shapely.LineString([(1, 1), (3, 2)]), {"width": 0.01, "filled": "sealant"})
    first, *rest = request.site.pads
    site = replace(request.site, pads=(replace(first, marks=(crack,)), *rest))
    file = tmp_path / "site.gpkg"
    file.write_bytes(offer_files(replace(request, site=site))["site.gpkg"])
    meta, _, _, fields = pyogrio.raw.read(file, layer="marks")
    said = fields[list(meta["fields"]).index("says")]
    assert "filled=sealant; width_m=0.01" in list(said)


@pytest.fixture
def package(tmp_path: Path) -> Path:
    path = tmp_path / "site.gpkg"
    path.write_bytes(files_of("two-pads")["site.gpkg"])
    return path


def test_the_package_has_a_layer_for_each_kind_in_a_frame_of_its_own(package: Path):
    """Metres of the pad frame, tied to nothing on earth."""
    assert {name for name, _ in pyogrio.list_layers(package)} == {
        "outline",
        "court_lines",
        "marks",
        "low_spots",
        "pieces",
    }
    for layer in ("outline", "marks"):
        crs = pyogrio.read_info(package, layer=layer)["crs"]
        assert crs is None or "EPSG" not in crs


def test_what_was_drawn_comes_back_where_it_was(package: Path):
    """Every mark of both pads, its kind and its geometry."""
    meta, _, geometry, fields = pyogrio.raw.read(package, layer="marks")
    columns = dict(zip(meta["fields"], fields, strict=True))
    marks = {(pad.id, mark.id): mark for pad in request_of("two-pads").site.pads for mark in pad.marks}
    found = {
        (pad, id): (kind, shapely.from_wkb(wkb))
        for pad, id, kind, wkb in zip(columns["pad"], columns["id"], columns["kind"], geometry, strict=True)
    }
    assert found.keys() == marks.keys()
    for key, (kind, shape) in found.items():
        assert kind == marks[key].kind
        assert shape.equals_exact(marks[key].geometry, 1e-9)


def test_the_drawing_opens_without_a_fault_in_metres():
    """An audit finds nothing to mend; layers carry plain names."""
    document, auditor = recover.read(io.BytesIO(files_of("two-pads")["plan.dxf"]))
    assert not auditor.has_errors
    assert not auditor.has_fixes
    assert document.dxfversion == ezdxf.DXF2010
    assert document.header["$INSUNITS"] == 6
    names = {layer.dxf.name for layer in document.layers}
    assert {"edge of the pavement", "painted lines", "crack", "low spots", "old repair"} <= names


def test_pads_stand_side_by_side_in_the_drawing_and_the_first_where_it_is():
    """Each has a frame of its own: the second is moved, not turned."""
    document = ezdxf.read(io.StringIO(files_of("two-pads")["plan.dxf"].decode()))
    outlines = document.modelspace().query('LWPOLYLINE[layer=="edge of the pavement"]')
    polygons = [shapely.Polygon([(x, y) for x, y, *_ in outline.get_points()]) for outline in outlines]
    upper, lower = (pad.outline for pad in request_of("two-pads").site.pads)
    assert polygons[0].equals_exact(upper, 1e-9) or polygons[0].normalize().equals_exact(upper.normalize(), 1e-6)
    assert polygons[1].area == pytest.approx(lower.area)
    assert not polygons[0].intersects(polygons[1])


@pytest.mark.parametrize("name", MAKERS)
def test_every_drawing_of_every_site_opens(name: str, tmp_path: Path):
    """Empty pads and hostile names included."""
    _, auditor = recover.read(io.BytesIO(files_of(name)["plan.dxf"]))
    assert not auditor.has_errors
    (tmp_path / "a.gpkg").write_bytes(files_of(name)["site.gpkg"])
    assert len(pyogrio.list_layers(tmp_path / "a.gpkg")) == 5


# --- calendar ------------------------------------------------------------------------------------


def events(name: str) -> list:
    return Calendar.from_ical(files_of(name)["schedule.ics"]).walk("VEVENT")


def test_a_calendar_is_written_only_when_a_start_is_given():
    """Without one there is nothing to put on a day."""
    assert "schedule.ics" in files_of("with-start")
    assert "schedule.ics" not in files_of("two-pads")


def test_every_step_is_an_event_of_whole_days_from_the_start_on():
    """Pads follow each other; work falls on weekdays; the stamp is the day of the offer."""
    work = [event for event in events("with-start") if event["TRANSP"] == "OPAQUE"]
    assert len(work) == len(specimens.PAVE_STEPS) + len(specimens.REPAIR_STEPS)
    assert work[0].decoded("dtstart") == specimens.START
    for event in work:
        first, last = event.decoded("dtstart"), event.decoded("dtend") - dt.timedelta(days=1)
        assert type(first) is dt.date
        assert first.weekday() < 5
        assert last.weekday() < 5
        assert event.decoded("dtstamp").date() == specimens.WALKED
    assert [e.decoded("dtstart") for e in work] == sorted(e.decoded("dtstart") for e in work)


def test_a_long_cure_is_an_event_that_keeps_people_off_and_nobody_busy():
    """21 days after paving: twenty whole days between the last day of work and the next."""
    (cure,) = (event for event in events("with-start") if event["TRANSP"] == "TRANSPARENT")
    assert (cure.decoded("dtend") - cure.decoded("dtstart")).days == 20


def test_an_event_keeps_its_identity_when_the_offer_is_written_again_on_another_day():
    """So that a calendar moves it instead of doubling it."""
    later = specimens.two_pads(start=dt.date(2026, 6, 1), issued_on=dt.date(2026, 5, 1))
    again = Calendar.from_ical(offer_files(later)["schedule.ics"]).walk("VEVENT")
    assert [e["UID"] for e in again] == [e["UID"] for e in events("with-start")]
    assert len({e["UID"] for e in again}) == len(again)


def test_steps_share_days_and_a_new_visit_begins_a_new_one():
    """0.7 and 1.5 days fill three; half a day after half a day is the same day, unless it is another trip."""
    half = specimens.step("wash", "resurface", 0.5)
    days = dated_steps(specimens.work("a", "b", (), (half, half, half)), dt.date(2026, 5, 4))
    assert [(d.first.day, d.last.day) for d in days] == [(4, 4), (4, 4), (5, 5)]
    apart = dated_steps(specimens.work("a", "b", (), (half, replace(half, visit=2))), dt.date(2026, 5, 4))
    assert [d.first.day for d in apart] == [4, 5]
    two = (specimens.step("a", "r", 0.7), specimens.step("b", "r", 1.5))
    assert [(d.first.day, d.last.day) for d in dated_steps(specimens.work("a", "b", (), two), dt.date(2026, 5, 4))] == [
        (4, 4),
        (4, 6),
    ]


def test_a_start_on_a_weekend_is_the_monday_after():
    """May 9, 2026 is a Saturday."""
    (day,) = dated_steps(specimens.work("a", "b", (), (specimens.step("a", "r", 1.0),)), dt.date(2026, 5, 9))
    assert day.first == dt.date(2026, 5, 11)


def test_work_without_steps_takes_no_days():
    """And does not move the next pad."""
    none, one = specimens.work("a", "b", (), ()), specimens.work("c", "d", (), (specimens.step("a", "r", 1.0),))
    dated = list(in_sequence(iter([none, one]), dt.date(2026, 5, 4)))
    assert dated[0][1] == ()
    assert dated[1][1][0].first == dt.date(2026, 5, 4)
    assert Measured(0.0).value == sum(s.days.value for s in none.steps)


# --- offer.json ----------------------------------------------------------------------------------


@pytest.mark.parametrize("name", MAKERS)
def test_the_data_names_every_file_and_every_pad(name: str):
    """In the order of the record."""
    answer = json.loads(files_of(name)["offer.json"])
    assert answer["files"] == list(files_of(name))
    assert [pad["id"] for pad in answer["pads"]] == [pad.id for pad in request_of(name).site.pads]
    assert answer["issued_on"] == "2026-04-11"

"""The stake-out of new surfaces: a workbook to read on site, and a drawing for a total station."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
import xlsxwriter
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from courtwright.ground.regrade.read import PadRegrade, Stake
from courtwright.offer.colours import HAIRLINE
from courtwright.offer.dxf import undated
from courtwright.offer.spreadsheet import sheet_name
from courtwright.says import say
from courtwright.trade.words import Language, UnitSystem, render
from courtwright.units import FOOT, INCH

_FONT = "Atkinson Hyperlegible"
_COLUMNS = ("point", "x", "y", "existing", "design", "fill")
_HEAD_ROW = 3
#: Widths of the columns in figures, and the height of the four lines of the note in points.
_WIDTHS, _NOTE = (9, 13, 13, 14, 14, 17), 62
#: Length and small length of each system: its unit in words, its metres, how a sheet prints it.
_LONG = {"us": ("unit-ft", FOOT, "0.00"), "metric": ("unit-m", 1.0, "0.000")}
#: Inches to an eighth, as on the drawing of cut and fill.
_SMALL = {"us": ("unit-in", INCH, "+0 ?/8;-0 ?/8;0"), "metric": ("unit-mm", 0.001, "+0;-0;0")}
#: Kinds of paper and of lines, as a workbook counts them.
_LETTER, _A4, _THIN, _HAIR = 1, 9, 1, 7
_METRES, _POINT_AS_CROSS, _POINT_SIZE, _TEXT_HEIGHT, _GAP = 6, 2, 0.15, 0.25, 10.0


def stakes_xlsx(pads: Sequence[PadRegrade], language: Language, units: UnitSystem, day: dt.date) -> bytes:
    """Return the workbook, one sheet a pad; the same call gives the same bytes.

    Parameters
    ----------
    pads : sequence of PadRegrade
        Those that have a new surface.
    language, units
        Of the reader.
    day : date
        Written into the file as its day.
    """
    out = io.BytesIO()
    settings = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(out, settings) as book:
        book.set_properties({"created": dt.datetime.combine(day, dt.time())})
        looks = _Looks.of(book, units)
        used: set[str] = set()
        for pad in pads:
            sheet = book.add_worksheet(sheet_name(pad.id, used))
            _head(sheet, pad, language, units, looks)
            _rows(sheet, pad, units, looks)
    return out.getvalue()


@dataclass(frozen=True, slots=True)
class _Looks:
    """How cells look: words plain and bold, the row of heads ruled beneath, lengths and depths in figures."""

    title: Format
    plain: Format
    head: Format
    number_head: Format
    point: Format
    corner: Format
    long: Format
    small: Format

    @classmethod
    def of(cls, book: xlsxwriter.Workbook, units: UnitSystem) -> _Looks:
        def look(**more: object) -> Format:
            return book.add_format({"font_name": _FONT, "font_size": 11, "valign": "top", **more})

        ruled: dict[str, object] = {"bottom": _HAIR, "bottom_color": HAIRLINE}
        return cls(
            title=look(bold=True, font_size=14),
            plain=look(text_wrap=True),
            head=look(bold=True, text_wrap=True, bottom=_THIN),
            number_head=look(bold=True, text_wrap=True, align="right", bottom=_THIN),
            point=look(**ruled),
            corner=look(bold=True, **ruled),
            long=look(num_format=_LONG[units][2], **ruled),
            small=look(num_format=_SMALL[units][2], bold=True, align="right", **ruled),
        )


def _head(sheet: Worksheet, pad: PadRegrade, language: Language, units: UnitSystem, looks: _Looks) -> None:
    def words(id: str, /, **values: object) -> str:
        return render(say(f"regrade.{id}", **values), language, units)

    _paper(sheet, units, words("sheet-title", pad=pad.id))
    last = len(_COLUMNS) - 1
    sheet.write_string(0, 0, words("sheet-title", pad=pad.id), looks.title)
    sheet.merge_range(1, 0, 1, last, "", looks.plain)
    sheet.set_row(1, _NOTE)
    sheet.write_string(1, 0, words("sheet-note"), looks.plain)
    for column, name in enumerate(_COLUMNS):
        unit = "" if name == "point" else f" [{words((_SMALL if name == 'fill' else _LONG)[units][0])}]"
        look = looks.head if name == "point" else looks.number_head
        sheet.write_string(_HEAD_ROW, column, words(f"column-{name}") + unit, look)
    sheet.freeze_panes(_HEAD_ROW + 1, 0)
    sheet.repeat_rows(_HEAD_ROW)


def _paper(sheet: Worksheet, units: UnitSystem, title: str) -> None:
    """Set a sheet up for the reader's paper, upright, with its title and pages at the foot."""
    sheet.hide_gridlines(2)
    sheet.set_paper(_LETTER if units == "us" else _A4)
    sheet.set_portrait()
    sheet.fit_to_pages(1, 0)
    # An ampersand would begin a code of the foot.
    sheet.set_footer(f"&L{title.replace('&', '&&')}&R&P/&N")
    for column, width in enumerate(_WIDTHS):
        sheet.set_column(column, column, width)


def _rows(sheet: Worksheet, pad: PadRegrade, units: UnitSystem, looks: _Looks) -> None:
    metres, little = _LONG[units][1], _SMALL[units][1]
    for row, stake in enumerate(_all(pad), start=_HEAD_ROW + 1):
        sheet.write_string(row, 0, stake.name, looks.corner if row <= _HEAD_ROW + len(pad.corners) else looks.point)
        for column, value in enumerate((stake.x, stake.y, stake.existing, stake.design), start=1):
            sheet.write_number(row, column, round(value / metres, 4) + 0.0, looks.long)
        sheet.write_number(row, 5, round(stake.fill / little, 3) + 0.0, looks.small)


def _all(pad: PadRegrade) -> Iterator[Stake]:
    yield from pad.corners
    yield from pad.stakes


def stakes_dxf(pads: Sequence[PadRegrade], language: Language, units: UnitSystem) -> bytes:
    """Return the drawing in metres: points at the height of the new surface, cut and fill beside them.

    Parameters
    ----------
    pads : sequence of PadRegrade
        Those that have a new surface; they stand side by side, the first in its own frame.
    language, units
        Of the reader: layers, and the numbers beside the points.
    """
    layers = [render(say(f"regrade.layer-{name}"), language, units) for name in ("outline", "stakes", "words")]
    with undated():
        document = new("R2010", setup=False, units=_METRES)
        document.header["$INSUNITS"] = _METRES
        document.header["$MEASUREMENT"] = 1
        document.header["$PDMODE"], document.header["$PDSIZE"] = _POINT_AS_CROSS, _POINT_SIZE
        for layer in layers:
            document.layers.add(layer)
        edge: float | None = None
        for pad in pads:
            left, _, right, _ = pad.outline.bounds
            shift = 0.0 if edge is None else max(edge + _GAP - left, 0.0)
            edge = right + shift
            _draw(document.modelspace(), pad, shift, layers, units)
        out = io.StringIO()
        document.write(out)
    return out.getvalue().encode("utf-8")


def _draw(space: Modelspace, pad: PadRegrade, shift: float, layers: Sequence[str], units: UnitSystem) -> None:
    outline, stakes, words = layers
    for ring in (pad.outline.exterior, *pad.outline.interiors):
        places = [(float(x) + shift, float(y)) for x, y in shapely.get_coordinates(ring)[:-1]]
        space.add_lwpolyline(places, close=True, dxfattribs={"layer": outline})
    _, little, _ = _SMALL[units]
    for stake in _all(pad):
        # A corner's words hang below it, clear of a stake near by.
        rise = -_POINT_SIZE - _TEXT_HEIGHT if stake in pad.corners else _POINT_SIZE
        place = (stake.x + shift, stake.y, stake.design)
        space.add_point(place, dxfattribs={"layer": stakes})
        text = f"{stake.name} {stake.fill / little:+.{2 if units == 'us' else 0}f}"
        entity = space.add_text(text, height=_TEXT_HEIGHT, dxfattribs={"layer": words})
        entity.set_placement((place[0] + _POINT_SIZE, place[1] + rise), align=TextEntityAlignment.LEFT)

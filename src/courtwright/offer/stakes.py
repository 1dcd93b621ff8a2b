"""The stake-out of new surfaces: a workbook to read on site, and a drawing for a total station."""

from __future__ import annotations

import datetime as dt
import io
from collections.abc import Iterator, Sequence

import shapely
import xlsxwriter
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from courtwright.ground.regrade.read import PadRegrade, Stake
from courtwright.offer.dxf import undated
from courtwright.offer.spreadsheet import sheet_name
from courtwright.says import say
from courtwright.trade.words import Language, UnitSystem, render
from courtwright.units import FOOT, INCH

_FONT = "Atkinson Hyperlegible"
_COLUMNS = ("point", "x", "y", "existing", "design", "fill")
_HEAD_ROW = 3
#: Length and small length of each system: name, its metres, how a sheet prints it.
_LONG = {"us": ("ft", FOOT, "0.000"), "metric": ("m", 1.0, "0.000")}
_SMALL = {"us": ("in", INCH, "+0.00;-0.00;0.00"), "metric": ("mm", 0.001, "+0;-0;0")}
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
        bold = book.add_format({"bold": True, "font_name": _FONT, "text_wrap": True, "valign": "top"})
        plain = book.add_format({"font_name": _FONT, "text_wrap": True, "valign": "top"})
        long = book.add_format({"font_name": _FONT, "num_format": _LONG[units][2]})
        small = book.add_format({"font_name": _FONT, "num_format": _SMALL[units][2]})
        used: set[str] = set()
        for pad in pads:
            sheet = book.add_worksheet(sheet_name(pad.id, used))
            _head(sheet, pad, language, units, bold, plain)
            _rows(sheet, pad, units, plain, long, small)
    return out.getvalue()


def _head(
    sheet: Worksheet, pad: PadRegrade, language: Language, units: UnitSystem, bold: Format, plain: Format
) -> None:
    def words(id: str, /, **values: object) -> str:
        return render(say(f"regrade.{id}", **values), language, units)

    sheet.hide_gridlines(2)
    sheet.fit_to_pages(1, 0)
    sheet.set_column(0, len(_COLUMNS) - 1, 14)
    sheet.write_string(0, 0, words("sheet-title", pad=pad.id), bold)
    sheet.merge_range(1, 0, 1, len(_COLUMNS) - 1, "", plain)
    sheet.set_row(1, 32)
    sheet.write_string(1, 0, words("sheet-note"), plain)
    for column, name in enumerate(_COLUMNS):
        unit = "" if name == "point" else f" [{(_SMALL if name == 'fill' else _LONG)[units][0]}]"
        sheet.write_string(_HEAD_ROW, column, words(f"column-{name}") + unit, bold)
    sheet.freeze_panes(_HEAD_ROW + 1, 0)
    sheet.repeat_rows(_HEAD_ROW)


def _rows(sheet: Worksheet, pad: PadRegrade, units: UnitSystem, plain: Format, long: Format, small: Format) -> None:
    metres, little = _LONG[units][1], _SMALL[units][1]
    for row, stake in enumerate(_all(pad), start=_HEAD_ROW + 1):
        sheet.write_string(row, 0, stake.name, plain)
        for column, value in enumerate((stake.x, stake.y, stake.existing, stake.design), start=1):
            sheet.write_number(row, column, round(value / metres, 4) + 0.0, long)
        sheet.write_number(row, 5, round(stake.fill / little, 3) + 0.0, small)


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

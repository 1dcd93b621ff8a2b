"""The quantities of every option as a workbook, one sheet a pad."""

from __future__ import annotations

import datetime as dt
import io
import re

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from courtwright.offer.offered import Offered, PadOffer
from courtwright.offer.paper import Paper
from courtwright.offer.trade_units import trade_unit
from courtwright.quantities.records import Quantity

_FONT = "Atkinson Hyperlegible"
_HEAD_ROW = 3
_COLUMNS = ("letter", "item", "remedy", "quantity", "unit", "quantity-si", "unit-si", "billing", "rate")
_MONEY = '"$"#,##0.00'
_WIDTHS = (34, 34, 28, 12, 10, 16, 12, 24, 14)


def quantities_xlsx(paper: Paper) -> bytes:
    """Return the workbook; text never turns into a formula, and the same request gives the same bytes."""
    out = io.BytesIO()
    settings = {
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    with xlsxwriter.Workbook(out, settings) as book:
        book.set_properties({"created": dt.datetime.combine(paper.request.issued_on, dt.time())})
        bold = book.add_format({"bold": True, "font_name": _FONT, "text_wrap": True, "valign": "top"})
        plain = book.add_format({"font_name": _FONT, "text_wrap": True, "valign": "top"})
        number = book.add_format({"font_name": _FONT, "num_format": "#,##0.##", "valign": "top"})
        money = book.add_format({"font_name": _FONT, "num_format": _MONEY, "valign": "top"})
        used: set[str] = set()
        for pad in paper.pads:
            sheet = book.add_worksheet(sheet_name(pad.pad.id, used))
            _write(paper, pad, sheet, bold, plain, number, money)
        if not paper.pads:
            book.add_worksheet()
    return out.getvalue()


def sheet_name(pad: str, used: set[str]) -> str:
    """Return a name that a workbook takes: short, without its signs, and not used yet."""
    base = re.sub(r"[\[\]:*?/\\']", "-", pad)[:24] or "pad"
    name, count = base, 1
    while name.casefold() in used:
        count += 1
        name = f"{base} {count}"
    used.add(name.casefold())
    return name


def _write(
    paper: Paper, pad: PadOffer, sheet: Worksheet, bold: Format, plain: Format, number: Format, money: Format
) -> None:
    sheet.hide_gridlines(2)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    for column, width in enumerate(_WIDTHS):
        sheet.set_column(column, column, width)
    sheet.write_string(0, 0, paper.say("sheet-title", pad=pad.pad.id), bold)
    sheet.merge_range(1, 0, 1, len(_COLUMNS) - 1, "", plain)
    sheet.write_string(1, 0, paper.say("sheet-note" if pad.offered else "sheet-empty"), plain)
    if not pad.offered:
        return
    for column, name in enumerate(_COLUMNS):
        sheet.write_string(_HEAD_ROW, column, paper.say(f"column-{name}"), bold)
    sheet.freeze_panes(_HEAD_ROW + 1, 0)
    sheet.repeat_rows(_HEAD_ROW)
    row = _HEAD_ROW
    for offered in pad.offered:
        for cells in _rows(paper, offered):
            row += 1
            for column, value in enumerate(cells):
                if isinstance(value, int | float):
                    sheet.write_number(row, column, value, money if _COLUMNS[column] == "rate" else number)
                else:
                    sheet.write_string(row, column, value, plain)


def _rows(paper: Paper, offered: Offered) -> list[list[str | float]]:
    option = paper.say("option-heading", letter=offered.letter, title=paper.title(offered))
    firm = paper.say("billing-range" if paper.request.budget else "billing-firm")
    found: list[list[str | float]] = [
        [option, *_amounts(paper, quantity), firm, ""]
        for quantity in offered.work.quantities
        if not quantity.is_allowance and round(quantity.amount.value, 2)
    ]
    if paper.request.budget:
        return found
    for allowance in offered.price.allowances:
        shown = trade_unit(allowance.unit, paper.request.units)
        rate = round(float(allowance.rate) * shown.si, 2)
        unit = paper.say(f"unit-{shown.name}")
        found.append([option, paper.item(allowance.item), "", "", unit, "", "", paper.say("billing-unit"), rate])
    return found


def _amounts(paper: Paper, quantity: Quantity) -> list[str | float]:
    shown, metric = trade_unit(quantity.unit, paper.request.units), trade_unit(quantity.unit, "metric")
    return [
        paper.item(quantity.item),
        _remedy(paper, quantity.remedy),
        round(quantity.amount.value / shown.si, 2),
        paper.say(f"unit-{shown.name}"),
        round(quantity.amount.value, 2),
        paper.say(f"unit-{metric.name}"),
    ]


def _remedy(paper: Paper, id: str) -> str:
    """Return a remedy's title; an option's where the work belongs to no remedy of its own."""
    return paper.name(f"remedies.{id}.title", f"options.{id}.title", id)

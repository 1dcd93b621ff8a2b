"""What stands beneath a plan: its scale, a scale bar, north, what was not measured, and the key in words."""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely import Polygon, box

from courtwright.offer.canvas import LINE_HEIGHT, TYPE_SIZE
from courtwright.offer.colours import INK
from courtwright.offer.lettering import text_width
from courtwright.offer.plan.scales import bar_length
from courtwright.offer.plan.sheet import Sheet
from courtwright.trade.words import render

_SAMPLE_WIDE, _ROW = 15.0, 5.2  # mm
_WIDE = 170.0  # mm: a page


def draw_margin(sheet: Sheet, notes: Sequence[str]) -> None:
    """Draw everything beneath the plan; ``notes`` say what it cannot show."""
    left, _, right, bottom = sheet.canvas.bounds
    wide = max(right - left, _WIDE)
    left = (left + right - wide) / 2
    top = bottom + 12.0  # north stands above it, and below the last label
    _scale_bar(sheet, left, top)
    _north(sheet, left + wide - 40.0, top)
    _key(sheet, left, _notes(sheet, notes, left, top + 9.0), wide)


def _scale_bar(sheet: Sheet, x: float, y: float) -> None:
    length, count = bar_length(scale=sheet.scale, units=sheet.units)
    long = length * sheet.per_metre
    for i in range(count):
        part = box(x + i * long / count, y - 0.7, x + (i + 1) * long / count, y + 0.7)
        sheet.canvas.shape(part, fill=INK if i % 2 == 0 else "none", stroke=INK, width=0.2)
    sheet.canvas.text(x, y - 3.4, "0")
    sheet.canvas.text(x + long + 2.0, y, sheet.say("length-label", length=length))
    text = "scale-us" if sheet.units == "us" else "scale-metric"
    sheet.canvas.text(x, y + 4.2, sheet.say(text, n=sheet.scale, feet=sheet.scale // 12))


def _north(sheet: Sheet, x: float, y: float) -> None:
    if sheet.pad.north is None:
        sheet.canvas.text(x, y, sheet.say("north-unknown"))
        return
    # The bearing of the pad's y axis is known, so north lies that far counter-clockwise of it.
    dx, dy = -math.sin(sheet.pad.north), -math.cos(sheet.pad.north)
    cx, cy = x + 24.0, y + 0.5
    tip, tail = (cx + 6 * dx, cy + 6 * dy), (cx - 6 * dx, cy - 6 * dy)
    sheet.canvas.line(tail, tip, width=0.3)
    half = Polygon([tip, (cx, cy), (cx + 1.6 * dy, cy - 1.6 * dx)])
    sheet.canvas.shape(half, fill=INK)
    sheet.canvas.shape(Polygon([tip, (cx, cy), (cx - 1.6 * dy, cy + 1.6 * dx)]), stroke=INK, width=0.2)
    letter = sheet.say("north")
    sheet.canvas.text(cx + 9.4 * dx - text_width(letter, TYPE_SIZE) / 2, cy + 9.4 * dy, letter, bold=True)


def _notes(sheet: Sheet, notes: Sequence[str], x: float, y: float) -> float:
    """Write the notes; return where the key begins. [mm]"""
    for note in notes:
        for line in _lines(note, _WIDE):
            sheet.canvas.text(x, y, line)
            y += LINE_HEIGHT
    return y + (2.0 if notes else 0.0)


def _key(sheet: Sheet, x: float, y: float, wide: float) -> None:
    """Write the key in two columns, each entry in as many lines as it needs."""
    column = wide / 2
    entries = [
        (sample, _lines(render(says, sheet.language, sheet.units), column - _SAMPLE_WIDE - 3))
        for says, sample in sheet.key.items()
    ]
    half = (sum(_entry_height(lines) for _, lines in entries) + 1e-6) / 2
    tops, at = [y, y], 0
    for sample, lines in entries:
        if at == 0 and tops[0] - y >= half:
            at = 1
        left = x + at * column
        sample(sheet.canvas, left, tops[at])
        for i, line in enumerate(lines):
            sheet.canvas.text(left + _SAMPLE_WIDE, tops[at] + i * LINE_HEIGHT, line)
        tops[at] += _entry_height(lines)


def _entry_height(lines: list[str]) -> float:
    return _ROW + (len(lines) - 1) * LINE_HEIGHT


def _lines(text: str, wide: float) -> list[str]:
    """Break a text into lines no wider than ``wide``. [mm]"""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, TYPE_SIZE) <= wide:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines

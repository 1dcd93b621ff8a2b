"""The length and the width of the pad, on dimension lines beside it."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, get_coordinates

from courtwright.offer.plan.labels import Label
from courtwright.offer.plan.sheet import Sheet

_AWAY = 6.0  # mm
_TICK = 1.2  # mm


def draw_dimensions(sheet: Sheet) -> None:
    """Draw two dimension lines along the sides of the least rectangle round the pad."""
    corners = get_coordinates(sheet.on_paper(sheet.pad.outline.minimum_rotated_rectangle))[:4]
    if len(corners) < 4:
        return
    middle = corners.mean(axis=0)
    sides = [(corners[i], corners[(i + 1) % 4]) for i in range(4)]
    # Below and to the left, where a reader of drawings looks for them.
    lowest = max(range(4), key=lambda i: (round(_centre(sides[i])[1], 3), -i))
    leftmost = min(((lowest + 1) % 4, (lowest + 3) % 4), key=lambda i: _centre(sides[i])[0])
    for index in (lowest, leftmost):
        _dimension(sheet, sides[index], middle)


def _centre(side: tuple[NDArray[np.float64], NDArray[np.float64]]) -> NDArray[np.float64]:
    return (side[0] + side[1]) / 2


def _dimension(
    sheet: Sheet, side: tuple[NDArray[np.float64], NDArray[np.float64]], middle: NDArray[np.float64]
) -> None:
    out = _centre(side) - middle
    out = out / max(float(np.hypot(*out)), 1e-9)
    along = side[1] - side[0]
    long = float(np.hypot(*along))
    along = along / max(long, 1e-9)
    a, b = side[0] + out * _AWAY, side[1] + out * _AWAY
    sheet.canvas.line(_xy(a), _xy(b), width=0.18)
    for end, corner in ((a, side[0]), (b, side[1])):
        sheet.canvas.line(_xy(corner + out * 1.2), _xy(end + out * 1.2), width=0.12)
        slash = (along + out) / math.sqrt(2) * _TICK
        sheet.canvas.line(_xy(end - slash), _xy(end + slash), width=0.35)
    sheet.ink.append(LineString([_xy(a), _xy(b)]))
    text = sheet.say("length-label", length=long / sheet.per_metre)
    sheet.labels.insert(0, Label(text, _xy((a + b) / 2), breaks_line=True))


def _xy(at: NDArray[np.float64]) -> tuple[float, float]:
    return float(at[0]), float(at[1])

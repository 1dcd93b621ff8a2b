"""The profile under a straightedge: the straightedge drawn level, the surface beneath it, and the gap."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Polygon, box

from courtwright.ground.laid import Laid
from courtwright.offer.canvas import LINE_HEIGHT, TYPE_SIZE, Canvas, Place
from courtwright.offer.colours import EARTH, INK, PAPER
from courtwright.offer.ground.height_lines import NINE_IN_TEN
from courtwright.offer.lettering import text_width
from courtwright.offer.plan.scales import scales
from courtwright.offer.plan.sheet import Sheet
from courtwright.trade.words import UnitSystem

Array = NDArray[np.float64]

#: What the profile takes at most, and how deep the ground under its lowest place is drawn. [mm]
_WIDE, _HIGH, _GROUND = 164.0, 26.0, 3.0
#: Scales of architects' and of metric rules, before those of a plan. [-]
_FINE = {"us": (1, 2, 3, 4, 6, 8, 12, 16, 24, 32), "metric": (1, 2, 5, 10, 20, 25)}
#: Times that heights are drawn as tall as lengths. [-]
_TALLER = (1, 2, 5, 10, 20, 50, 100, 200, 500)
_BAR, _ABOVE, _ASIDE = 2.4, 12.0, 1.6  # mm
_BAND = (0.5, 0.8)


@dataclass(frozen=True, slots=True)
class Profile:
    """How a straightedge is drawn from the side: lengths at 1:``scale``, heights ``taller`` times as tall.

    ``off`` is how far the surface may lie from where it is drawn, at each node [m]; ``x``, ``y`` is where the first end
    of the straightedge touches down, on paper [mm].
    """

    laid: Laid
    off: Array
    scale: int
    taller: int
    x: float
    y: float

    @property
    def down(self) -> float:
        """Paper per metre of depth. [mm/m]"""
        return 1000.0 / self.scale * self.taller

    def at(self, along: float, below: float) -> Place:
        """Return the place of a distance from the first end and a depth under the straightedge. [mm]"""
        return self.x + along * 1000.0 / self.scale, self.y + below * self.down

    def trail(self, below: Array) -> list[Place]:
        """Return the places of depths at all nodes. [mm]"""
        return [self.at(float(a), float(b)) for a, b in zip(self.laid.along, below, strict=True)]


def profile_of(laid: Laid, sd: Array | None, units: UnitSystem, left: float, top: float) -> Profile:
    """Return the profile at the largest scale of the rule that fits a page, and as tall as fits.

    Parameters
    ----------
    laid : Laid
        The straightedge.
    sd : ndarray, shape (n,), or None
        Standard uncertainty of the heights at its nodes; None where nothing tells it. [m]
    units : {"us", "metric"}
        In which the scale is round.
    left, top : float
        Where it begins. [mm]
    """
    span = float(laid.along[-1] - laid.along[0])
    every = (*_FINE[units], *scales(units))
    scale = next((n for n in every if span * 1000 / n <= _WIDE), every[-1])
    off = np.zeros(len(laid.below)) if sd is None else NINE_IN_TEN * sd
    highest = min(float((laid.below - off).min()), 0.0)
    reach = float((laid.below + off).max()) - highest
    tallest = [times for times in _TALLER if reach * 1000 / scale * times <= _HIGH]
    taller = tallest[-1] if tallest else 1
    x = left - float(laid.along[0]) * 1000 / scale
    return Profile(laid, off, scale, taller, x, top + _ABOVE - highest * 1000 / scale * taller)


def draw_profile(sheet: Sheet, profile: Profile) -> None:
    """Draw a profile beneath what is already drawn."""
    laid, canvas = profile.laid, sheet.canvas
    surface = profile.trail(laid.below)
    bottom = max(y for _, y in profile.trail(laid.below + profile.off)) + _GROUND
    canvas.shape(Polygon([*surface, (surface[-1][0], bottom), (surface[0][0], bottom)]), fill=EARTH)
    canvas.shape(LineString(surface), stroke=INK, width=0.4)
    sheet.explain("key-profile-surface", _sample_surface)
    if profile.off.any():
        for side in (-1.0, 1.0):
            edge = LineString(profile.trail(laid.below + side * profile.off))
            canvas.shape(edge, stroke=INK, width=0.15, dashes=_BAND)
        sheet.explain("key-profile-band", _sample_band)
    _draw_bar(sheet, profile)
    _draw_gap(sheet, profile)
    below = max(bottom, canvas.bounds[3]) + LINE_HEIGHT
    text = "profile-scale-true" if profile.taller == 1 else "profile-scale"
    canvas.text(surface[0][0], below, sheet.say(text, n=profile.scale, taller=profile.taller))


def _draw_bar(sheet: Sheet, profile: Profile) -> None:
    """Draw the straightedge, its ends named as on the plan, and what carries it."""
    laid, canvas = profile.laid, sheet.canvas
    (left, line), (right, _) = profile.at(0.0, 0.0), profile.at(laid.length, 0.0)
    canvas.shape(box(left, line - _BAR, right, line), fill=PAPER, stroke=INK, width=0.35)
    sheet.explain("key-straightedge", _sample_bar)
    for rest in laid.rests:
        x, y = profile.at(rest, 0.0)
        canvas.shape(Polygon([(x, y), (x - 1.1, y - 1.9), (x + 1.1, y - 1.9)]), fill=INK)
    sheet.explain("key-rests", _sample_rest)
    length = sheet.say("length-label", length=laid.length)
    canvas.text((left + right) / 2 - text_width(length, TYPE_SIZE) / 2, line - _BAR - 2.6, length)
    canvas.text(left, line - _BAR - 2.6, "A", bold=True)
    canvas.text(right - text_width("B", TYPE_SIZE) * 1.06, line - _BAR - 2.6, "B", bold=True)


def _draw_gap(sheet: Sheet, profile: Profile) -> None:
    """Draw the gap as a dimension, its size beside it in the ground."""
    laid, canvas = profile.laid, sheet.canvas
    (x, top), (_, bottom) = profile.at(laid.gap_along, 0.0), profile.at(laid.gap_along, laid.gap)
    canvas.line((x, top), (x, bottom), width=0.3)
    for y in (top, bottom):
        canvas.line((x - 1.2, y), (x + 1.2, y), width=0.3)
    text = sheet.say("gap-label", gap=laid.gap)
    middle = (top + bottom) / 2 if bottom - top > LINE_HEIGHT + 0.6 else bottom + LINE_HEIGHT * 0.7
    canvas.text(x + _ASIDE, middle, text, backed=True)


def _sample_surface(canvas: Canvas, x: float, y: float) -> None:
    canvas.shape(box(x, y, x + 12, y + 1.8), fill=EARTH)
    canvas.line((x, y), (x + 12, y), width=0.4)


def _sample_band(canvas: Canvas, x: float, y: float) -> None:
    for dy in (-0.9, 0.9):
        canvas.line((x, y + dy), (x + 12, y + dy), width=0.15, dashes=_BAND)


def _sample_bar(canvas: Canvas, x: float, y: float) -> None:
    canvas.shape(box(x, y - _BAR / 2, x + 12, y + _BAR / 2), fill=PAPER, stroke=INK, width=0.35)


def _sample_rest(canvas: Canvas, x: float, y: float) -> None:
    canvas.shape(Polygon([(x + 6, y + 1), (x + 4.9, y - 0.9), (x + 7.1, y - 0.9)]), fill=INK)

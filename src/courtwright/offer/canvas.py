"""A drawing in millimetres of paper that knows how far it reaches, and its SVG."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry, BaseMultipartGeometry

from courtwright.offer.colours import INK, PAPER
from courtwright.offer.lettering import FAMILY, drawable, text_width

#: Ten points, the smallest type on paper. [mm]
TYPE_SIZE = 3.53
#: Height of a line of type, ascenders and descenders included. [mm]
LINE_HEIGHT = 4.4

Place = tuple[float, float]


class Canvas:
    """Collects shapes in the order they are drawn; x to the right, y down, in millimetres. [mm]"""

    def __init__(self) -> None:
        self._elements: list[str] = []
        self._bounds: tuple[float, float, float, float] | None = None

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """The left, top, right and bottom of everything drawn. [mm]"""
        return self._bounds or (0.0, 0.0, 0.0, 0.0)

    def reach(self, left: float, top: float, right: float, bottom: float) -> None:
        """Make the drawing reach at least so far. [mm]"""
        b = self._bounds or (left, top, right, bottom)
        self._bounds = (min(b[0], left), min(b[1], top), max(b[2], right), max(b[3], bottom))

    def shape(
        self,
        geometry: BaseGeometry,
        *,
        fill: str = "none",
        stroke: str = "none",
        width: float = 0.0,
        dashes: Sequence[float] = (),
        cap: str = "butt",
    ) -> None:
        """Draw a geometry; ``width`` and ``dashes`` in millimetres of paper. [mm]"""
        if geometry.is_empty:
            return
        left, top, right, bottom = geometry.bounds
        self.reach(left - width / 2, top - width / 2, right + width / 2, bottom + width / 2)
        style = f'fill="{fill}"' + (' fill-rule="evenodd"' if fill != "none" else "")
        if stroke != "none":
            style += f' stroke="{stroke}" stroke-width="{_n(width)}" stroke-linejoin="round"'
            style += f' stroke-linecap="{cap}"' if cap != "butt" else ""
        if dashes:
            style += f' stroke-dasharray="{" ".join(map(_n, dashes))}"'
        self._elements.append(f'<path d="{_path(geometry)}" {style}/>')

    def line(self, *places: Place, width: float, stroke: str = INK, dashes: Sequence[float] = ()) -> None:
        """Draw a line through places. [mm]"""
        self.shape(LineString(places), stroke=stroke, width=width, dashes=dashes)

    def dot(self, at: Place, radius: float, *, fill: str = INK, width: float = 0.0) -> None:
        """Draw a dot, outlined in ink where ``width`` is given. [mm]"""
        x, y = at
        reach = radius + width / 2
        self.reach(x - reach, y - reach, x + reach, y + reach)
        stroke = f' stroke="{INK}" stroke-width="{_n(width)}"' if width else ""
        self._elements.append(f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}" fill="{fill}"{stroke}/>')

    def stipple(self, places: NDArray[np.float64], radius: float) -> None:
        """Draw many dots of ink as one shape; ``places`` has shape (n, 2). [mm]"""
        if len(places) == 0:
            return
        (left, top), (right, bottom) = places.min(axis=0) - radius, places.max(axis=0) + radius
        self.reach(float(left), float(top), float(right), float(bottom))
        dots = " ".join(f"M{_n(float(x))},{_n(float(y))}h0" for x, y in places)
        self._elements.append(
            f'<path d="{dots}" fill="none" stroke="{INK}" stroke-width="{_n(2 * radius)}" stroke-linecap="round"/>'
        )

    def text(
        self,
        left: float,
        middle: float,
        text: str,
        *,
        size: float = TYPE_SIZE,
        bold: bool = False,
        backed: bool = False,
    ) -> None:
        """Write one line whose left end and middle height are given, on paper where ``backed``. [mm]

        It is as wide as it was measured, also where a reader's browser has another font.
        """
        text = drawable(text)
        wide, high = text_width(text, size) * (1.06 if bold else 1.0), LINE_HEIGHT * size / TYPE_SIZE
        self.reach(left - 0.3, middle - high / 2, left + wide + 0.3, middle + high / 2)
        if backed:
            self._elements.append(
                f'<rect x="{_n(left - 0.5)}" y="{_n(middle - high / 2)}" width="{_n(wide + 1)}" height="{_n(high)}" '
                f'fill="{PAPER}"/>'
            )
        weight = ' font-weight="700"' if bold else ""
        self._elements.append(
            f'<text x="{_n(left)}" y="{_n(middle + 0.34 * size)}" font-size="{_n(size)}"{weight} '
            f'textLength="{_n(wide)}" lengthAdjust="spacingAndGlyphs" fill="{INK}">'
            f"{escape(text)}</text>"
        )

    def svg(self, title: str, description: str, *, margin: float = 2.0) -> str:
        """Return the drawing as SVG at its true size, with nothing cut off.

        Parameters
        ----------
        title, description : str
            For readers who cannot see it.
        margin : float
            Clear paper around everything. [mm]
        """
        left, top, right, bottom = self.bounds
        wide, high = right - left + 2 * margin, bottom - top + 2 * margin
        box = " ".join(map(_n, (left - margin, top - margin, wide, high)))
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(wide)}mm" height="{_n(high)}mm" viewBox="{box}" '
            f'role="img" font-family="{FAMILY}, Verdana, sans-serif">'
        )
        ground = (
            f'<rect x="{_n(left - margin)}" y="{_n(top - margin)}" width="{_n(wide)}" height="{_n(high)}" '
            f'fill="{PAPER}"/>'
        )
        words = f"<title>{escape(drawable(title))}</title><desc>{escape(drawable(description))}</desc>"
        return "\n".join([head, words, ground, *self._elements, "</svg>\n"])


def _n(value: float) -> str:
    """Return a number of the drawing: hundredths of a millimetre are finer than any printer."""
    if not math.isfinite(value):
        raise ValueError(value)
    shown = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if shown == "-0" else shown


def _path(geometry: BaseGeometry) -> str:
    return " ".join(_part(part) for part in parts(geometry))


def parts(geometry: BaseGeometry) -> Iterable[BaseGeometry]:
    """Return the simple geometries that a geometry is made of."""
    if isinstance(geometry, BaseMultipartGeometry):
        return [inner for part in geometry.geoms for inner in parts(part)]
    return [] if geometry.is_empty else [geometry]


def _part(part: BaseGeometry) -> str:
    if isinstance(part, Polygon):
        return " ".join(f"{_trail(ring)}Z" for ring in (part.exterior, *part.interiors))
    if isinstance(part, Point):
        return _part(part.buffer(0.3))
    return _trail(part)


def _trail(line: BaseGeometry) -> str:
    places = shapely.get_coordinates(line)
    return "M" + " L".join(f"{_n(x)},{_n(y)}" for x, y in places)

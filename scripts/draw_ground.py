"""Draws the pictures of docs/explanation/heights-and-water.md: contours, cut and fill, the worst straightedge."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from shapely import box

from courtwright.ground.heights import heights
from courtwright.ground.read import read_pad
from courtwright.ground.regrade.fixed import Point
from courtwright.ground.regrade.read import Asked, pad_regrade
from courtwright.offer.ground import contours_svg, cut_fill_svg, straightedge_svg, worst_edge
from courtwright.site import read_site
from courtwright.site.record import Court, Pad, Shots

ROOT = Path(__file__).resolve().parents[1]
PICTURES = ROOT / "docs" / "pictures"
#: Heaves and dips of the invented pad: place, height and how wide. [m]
SWELLS = ((8, 5, 0.04, 2.5), (25, 12, 0.06, 3.0), (30, 4, -0.025, 3.0), (15, 14, -0.03, 3.0))
LONG, WIDE = 36.576, 18.288


def swollen() -> Pad:
    """Return a pad of 120 by 60 ft with heaves and dips, shot every 5 ft to a millimetre."""
    x, y = (axis.ravel() for axis in np.meshgrid(np.arange(0, LONG + 0.01, 1.524), np.arange(0, WIDE + 0.01, 1.524)))
    z = 30 - 0.008 * y + 0.002 * x
    for px, py, high, wide in SWELLS:
        z += high * np.exp(-((x - px) ** 2 + (y - py) ** 2) / wide**2)
    z = np.round(z + np.random.default_rng(1).normal(0, 0.001, len(z)), 3)
    court = Court("1", "tennis", (LONG / 2, WIDE / 2), math.pi / 2)
    return Pad("invented", box(0, 0, LONG, WIDE), courts=(court,), shots=Shots(np.column_stack([x, y, z])))


def main() -> None:
    """Draw the demo site's ground, and a new surface that keeps two corners of an invented pad low."""
    upper, lower = read_site(ROOT / "src/courtwright/site/demo_site").pads
    ground, flat = read_pad(upper), worst_edge(read_pad(lower))
    pad = swollen()
    found, _ = heights(pad)
    corners = tuple(Point(x, 0.0, 29.99) for x in (0.0, LONG))
    assert found is not None
    assert flat is not None
    new = pad_regrade(pad, Asked(points=corners))
    drawn = {
        "contours": contours_svg(upper, ground),
        "straightedge": straightedge_svg(lower, flat),
        "cut-fill": cut_fill_svg(pad, new, found.grid),
    }
    for name, svg in drawn.items():
        assert svg is not None, name
        (PICTURES / f"{name}.svg").write_text(svg, encoding="utf-8")


if __name__ == "__main__":
    main()

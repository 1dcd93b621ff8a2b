"""Low spots of a pad: those that its heights hold and those that the walker drew."""

from __future__ import annotations

import functools
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from courtwright.ground.edges import EdgeStretch, drains_at
from courtwright.ground.filling import border_of, filled
from courtwright.ground.heights import Heights
from courtwright.ground.likelihood import DrawnWater, drawn_water, likelihoods
from courtwright.ground.ponds import Ponds, largest, outline_of, ponds
from courtwright.ground.reading import HeightGrid, LowSpot
from courtwright.site.record import Mark, Pad
from courtwright.trade.load import tolerances

Array = NDArray[np.float64]

#: Volume of a drawn low spot, as a share of area times depth: that of a bowl.
_BOWL = 0.5


#: The ponds of surfaces drawn from what the shots leave open; drawn when somebody first asks.
Water = Callable[[], DrawnWater]


def water_of(pad: Pad, heights: Heights, stretches: tuple[EdgeStretch, ...], seed: int) -> Water:
    """Return what draws the surfaces of a pad when it is first called, and gives the same ones after.

    Parameters
    ----------
    pad : Pad
        With its shots and drains.
    heights : Heights
        Its heights.
    stretches : tuple of EdgeStretch
        What stands along its edge.
    seed : int
        Of the random numbers. [-]
    """

    @functools.cache
    def water() -> DrawnWater:
        outlets, frame = _outlets_of(pad, stretches), _survey_axes(pad, heights)
        return drawn_water(heights.surface, pad.outline, outlets, frame, np.random.default_rng(seed))

    return water


def low_spots(
    pad: Pad, heights: Heights | None, stretches: tuple[EdgeStretch, ...], water: Water | None
) -> tuple[LowSpot, ...]:
    """Return the low spots of a pad: the computed ones, deepest first, then those drawn where none is computed.

    Parameters
    ----------
    pad : Pad
        With its marks.
    heights : Heights or None
        Its heights; without them only what was drawn is known.
    stretches : tuple of EdgeStretch
        What stands along its edge.
    water : callable or None
        Gives the drawn surfaces' ponds, as ``water_of``; None without heights.

    Notes
    -----
    A drawn low spot whose depth nobody gave has the least depth that counts, and says so.
    """
    computed = list(_computed(pad, heights, stretches, water)) if heights and water else []
    drawn: list[LowSpot] = []
    for mark in pad.of_kind("low-spot"):
        outline = _polygon(mark)
        if outline is None:
            continue
        met = [i for i, spot in enumerate(computed) if spot.outline.intersects(outline)]
        for i in met:
            computed[i] = replace(computed[i], mark=mark.id, lasts=_longer(computed[i].lasts, mark.number("lasts")))
        if not met:
            drawn.append(_drawn(mark, outline))
    return (*computed, *drawn)


def _longer(one: float | None, other: float | None) -> float | None:
    return max((hours for hours in (one, other) if hours is not None), default=None)


def _polygon(mark: Mark) -> Polygon | None:
    shape = mark.geometry
    return largest(shape) if isinstance(shape, Polygon | MultiPolygon) and not shape.is_empty else None


def _drawn(mark: Mark, outline: Polygon) -> LowSpot:
    depth = mark.number("depth")
    known = tolerances().water_test if depth is None else depth
    middle = outline.representative_point()
    return LowSpot(
        id=mark.id,
        area=outline.area,
        depth_max=known,
        volume=_BOWL * outline.area * known,
        spill=None,
        deepest=(middle.x, middle.y),
        likelihood=None,
        outline=outline,
        drawn=True,
        lasts=mark.number("lasts"),
        mark=mark.id,
        depth_is_known=depth is not None,
    )


def _computed(pad: Pad, heights: Heights, stretches: tuple[EdgeStretch, ...], water: Water) -> tuple[LowSpot, ...]:
    grid = heights.grid
    if min(grid.height.shape) < 3:
        return ()
    outlets = _outlets_of(pad, stretches)
    x, y = _axes(grid)
    found = ponds(grid.height, filled(grid.height, outlets(x, y, grid.height)))
    count = int(np.count_nonzero(found.depth > tolerances().water_test))
    spots = [_spot(grid, found, i, pad.outline) for i in range(count)]
    if not spots:
        return ()
    shares = likelihoods(water(), [spot.outline for spot in spots], tolerances().water_test)
    return tuple(replace(spot, likelihood=share) for spot, share in zip(spots, shares, strict=True))


def _outlets_of(pad: Pad, stretches: tuple[EdgeStretch, ...]) -> Callable[[Array, Array, Array], Array]:
    def outlets(x: Array, y: Array, height: Array) -> Array:
        return drains_at(pad, x, y, height, border_of(height), stretches)

    return outlets


def _axes(grid: HeightGrid) -> tuple[Array, Array]:
    rows, cols = grid.height.shape
    return grid.x0 + grid.cell * np.arange(cols), grid.y0 + grid.cell * np.arange(rows)


def _spot(grid: HeightGrid, found: Ponds, ordinal: int, outline: Polygon) -> LowSpot:
    cell_area = grid.cell**2
    around = outline_of(found.number == ordinal + 1, grid.x0, grid.y0, grid.cell)
    within = around.intersection(outline)
    polygons = [part for part in shapely.get_parts(within) if isinstance(part, Polygon)]
    return LowSpot(
        id=f"low-{ordinal + 1}",
        area=float(found.cells[ordinal]) * cell_area,
        depth_max=float(found.depth[ordinal]),
        volume=float(found.depth_sum[ordinal]) * cell_area,
        spill=_place(grid, int(found.spill[ordinal])),
        deepest=_place(grid, int(found.deepest[ordinal])),
        likelihood=None,
        outline=max(polygons, key=lambda part: part.area) if polygons else around,
    )


def _place(grid: HeightGrid, flat: int) -> tuple[float, float]:
    row, col = divmod(flat, grid.height.shape[1])
    return grid.x0 + grid.cell * col, grid.y0 + grid.cell * row


def _survey_axes(pad: Pad, heights: Heights) -> Array:
    """Return two axes fixed to the survey, shape (2, 2): towards one shot, and at right angles towards others. [-]"""
    assert pad.shots is not None
    off = np.asarray(pad.shots.xyz, dtype=np.float64)[:, :2] - heights.surface.centre
    away = np.hypot(*off.T)
    far = off[np.flatnonzero(away > 0.5 * away.max())[0]]
    ahead = far / np.hypot(*far)
    aside = np.array([-ahead[1], ahead[0]])
    sides = off @ aside
    first = np.flatnonzero(np.abs(sides) > 0.25 * np.abs(sides).max())
    return np.column_stack([ahead, aside * np.sign(sides[first[0]])])

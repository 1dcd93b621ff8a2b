"""The heights of a site as a plain record, small enough for a phone: maps and new surfaces are drawn from it there."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray

from courtwright.ground.heights import Heights, heights
from courtwright.ground.read import Told, untold
from courtwright.ground.reading import HeightGrid
from courtwright.ground.regrade.fixed import held_by
from courtwright.ground.regrade.folds import Strips, strips_of
from courtwright.ground.regrade.nodes import ground_of
from courtwright.ground.regrade.plane import Fixed, Ground
from courtwright.job.answers.documents import Document, with_complaints
from courtwright.job.answers.plain import Reader, mm, number, pct
from courtwright.site.lines import outer_size
from courtwright.site.record import Pad, SiteRecord
from courtwright.trade.load import courts, materials, scopes, tolerances
from courtwright.trade.regrade import regrade_facts

Array = NDArray[np.float64]

#: Places and heights are told to so much; a level reads a hundred times as much. [m]
STEP = 1e-5


def maps_document(record: SiteRecord, reader: Reader, told: Told = untold) -> Document:
    """Return the heights of every pad, what holds a new surface there, and the rules of the trade for one.

    Parameters
    ----------
    record : SiteRecord
        What was found.
    reader : Reader
        Of the notes.
    told : callable
        Told after each pad.
    """
    pads: list[dict[str, object]] = []
    for pad in record.pads:
        pads.append(_pad(pad, reader))
        told(len(pads), len(record.pads))
    return with_complaints({"rules": _rules(), "pads": pads}, record, reader)


def _rules() -> dict[str, object]:
    facts, limits = regrade_facts(), tolerances()
    return {
        "slope_min_pct": pct(limits.slope_min),
        "slope_max_pct": pct(limits.slope_max),
        "stone_mm": mm(facts.stone.size),
        "stones_fine": facts.layer.fine,
        "stones_coarse": facts.layer.coarse,
        "least_mm": mm(facts.layer.least.size),
        "lift_most_mm": mm(materials()["hot-mix"].limits["lift_most"].size),
        "density_t_m3": number(scopes()["overlay"].values["density"].size),
        "water_test_mm": mm(limits.water_test),
    }


def _pad(pad: Pad, reader: Reader) -> dict[str, object]:
    found, notes = heights(pad)
    if found is None:
        empty: dict[str, object] = {"heights": None, "edge": None, "held": [], "strips": None}
        return {"id": pad.id, **empty, "notes": [reader.says(note) for note in notes]}
    ground = ground_of(found, pad.outline)
    held = held_by(pad, found, (), regrade_facts().threshold.size)
    strips = strips_of(pad.courts, {sport: outer_size(spec) for sport, spec in courts().items()})
    count = int(np.isfinite(found.grid.height).sum())
    base = float(np.nanmin(found.grid.height))
    return {
        "id": pad.id,
        "heights": _heights(found, ground.area[:count], base),
        "edge": _edge(ground, count, base),
        "held": _held(pad, held.fixed),
        "strips": _strips(strips),
        "notes": [reader.says(note) for note in notes],
    }


def _heights(found: Heights, area: Array, base: float) -> dict[str, object]:
    """Return the grid with what of the pad each node stands for; ``area`` has one value a node on the pad. [m²]"""
    grid = found.grid
    rows, cols = grid.height.shape
    whole = float(np.median(area))
    cut = np.flatnonzero(np.abs(area - whole) > 1e-9)
    return {
        "x0_m": number(grid.x0, 6),
        "y0_m": number(grid.y0, 6),
        "cell_m": number(grid.cell, 6),
        "rows": rows,
        "cols": cols,
        "base_m": number(base, 6),
        "step_mm": number(STEP * 1000, 3),
        "runs": _runs(grid, base),
        "area_m2": number(whole, 9),
        "cut_nodes": _spaced(cut.astype(np.float64)),
        "cut_mm2": _spaced(area[cut] * 1e6),
    }


def _runs(grid: HeightGrid, base: float) -> list[dict[str, object]]:
    """Return the nodes on the pad, run by run along the rows.

    Of each run stand the first height, the first change, and then changes of the change, in steps over the base: on a
    pad they are small numbers. `web/src/model/regrade/told.ts` reads them.
    """
    steps = np.rint((grid.height - base) / STEP)
    runs: list[dict[str, object]] = []
    for row, line in enumerate(steps):
        on = np.concatenate([[0], np.isfinite(line).astype(np.int8), [0]])
        for start, end in zip(np.flatnonzero(np.diff(on) == 1), np.flatnonzero(np.diff(on) == -1), strict=True):
            run = line[start:end].copy()
            run[1:] -= line[start : end - 1]
            run[2:] -= run[1:-1].copy()
            runs.append({"row": row, "col": int(start), "bends": _spaced(run)})
    return runs


def _spaced(values: Array) -> str:
    """Return values as whole numbers in one line: a list of them would be several times as long."""
    return " ".join(map(str, np.rint(values).astype(np.int64).tolist()))


def _edge(ground: Ground, count: int, base: float) -> dict[str, object]:
    """Return the places of the pad's edge, with their heights over the base: they are covered and stand for no area."""
    return {
        "x_steps": _spaced(ground.x[count:] / STEP),
        "y_steps": _spaced(ground.y[count:] / STEP),
        "z_steps": _spaced((ground.z[count:] - base) / STEP),
    }


def _held(pad: Pad, fixed: Fixed) -> list[dict[str, object]]:
    rows = zip(fixed.x, fixed.y, fixed.low, fixed.high, strict=True)
    return [_one_held(pad, *map(float, row)) for row in rows]


def _one_held(pad: Pad, x: float, y: float, low: float, high: float) -> dict[str, object]:
    """Return one place that holds a new surface: by a wall's top from above, by a gate or a drain from both sides."""
    place = shapely.Point(x, y)
    met = [mark for kind in ("gate", "drain") for mark in pad.of_kind(kind)]
    nearest = min(met, key=lambda mark: mark.geometry.distance(place), default=None)
    kind = "wall" if math.isinf(low) or nearest is None else nearest.kind
    return {"kind": kind, "at": [number(x, 6), number(y, 6)], "low_m": number(low, 6), "high_m": number(high, 6)}


def _strips(strips: Strips | None) -> dict[str, object] | None:
    if strips is None:
        return None
    return {
        "across": [number(float(part), 9) for part in strips.across],
        "folds_m": [number(float(fold), 4) for fold in strips.folds],
        "courts": [list(names) for names in strips.courts],
    }

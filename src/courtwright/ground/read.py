"""Reads a pad: everything that its shots, marks and tallies say, each part from whatever is there."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import numpy as np

from courtwright.ground.cracks import crack_reading
from courtwright.ground.drainage.run_on import RunOn, run_on
from courtwright.ground.edges import dammed_length, edge_stretches, low_edge
from courtwright.ground.flatness import largest_gaps
from courtwright.ground.heaves import heaves
from courtwright.ground.heights import Heights, heights
from courtwright.ground.low_spots import Water, low_spots, water_of
from courtwright.ground.network import crack_network
from courtwright.ground.pieces import pieces
from courtwright.ground.reading import Flatness, GroundReading, HeightGrid, LowSpot, PadReading, ShootNext
from courtwright.ground.repairs import old_repairs
from courtwright.ground.shoot_next import shoot_next
from courtwright.ground.slope import court_planes, fitted_plane
from courtwright.site.lines import outer_size
from courtwright.site.record import Pad, SiteRecord
from courtwright.site.tallies import tallies_beyond_marks
from courtwright.trade.load import courts, tolerances

#: Told of each finished step: how many are done, of how many.
Told = Callable[[int, int], None]


def untold(done: int, of: int) -> None:
    """Tell nobody how far a step is."""


def read_ground(record: SiteRecord, seed: int = 1, told: Told = untold, shots_more: int = 0) -> GroundReading:
    """Return the reading of every pad of a site.

    Parameters
    ----------
    record : SiteRecord
        What was found.
    seed : int
        Seed of the surfaces from which the low spots' likelihoods are counted. [-]
    told : callable
        Told after each pad.
    shots_more : int
        At most so many places to shoot next are sought on each pad. [-]

    Returns
    -------
    GroundReading
        The same record and seed give the same reading.
    """
    readings: list[PadReading] = []
    for pad in record.pads:
        readings.append(read_pad(pad, seed, shots_more))
        told(len(readings), len(record.pads))
    return GroundReading(tuple(readings))


def read_pad(pad: Pad, seed: int = 1, shots_more: int = 0) -> PadReading:
    """Return the reading of one pad; what rests on heights is None or empty where there are none.

    Parameters
    ----------
    pad : Pad
        What was found of it.
    seed, shots_more : int
        As for ``read_ground``. [-]
    """
    found, notes = heights(pad)
    tallies = tallies_beyond_marks(pad)
    stretches = edge_stretches(pad)
    network = crack_network(pad)
    cut = pieces(network)
    uphill = _uphill(pad, found)
    water = water_of(pad, found, stretches, seed) if found else None
    spots = low_spots(pad, found, stretches, water)
    return PadReading(
        id=pad.id,
        area=float(pad.outline.area),
        heights=found.grid if found else None,
        courts=court_planes(found, pad.courts, _court_sizes()) if found else (),
        flatness=flatness(found.grid) if found else None,
        low_spots=spots,
        cracks=crack_reading(pad, tallies, network, cut),
        pieces=cut,
        heaves=heaves(pad),
        old_repairs=old_repairs(pad, tallies),
        low_edge=low_edge(pad.outline, downhill(pad, found), stretches),
        dammed_length=dammed_length(stretches),
        notes=notes,
        run_on=uphill.area,
        run_on_is_least=uphill.is_least,
        shoot_next=_next(pad, found, spots, water, shots_more),
    )


def _uphill(pad: Pad, found: Heights | None) -> RunOn:
    """Return the ground that sends its water onto the pad, where shots around it tell of that."""
    if found is None or pad.shots is None or not len(pad.shots.around):
        return RunOn(None)
    return run_on(pad, downhill(pad, found))


def _next(
    pad: Pad, found: Heights | None, spots: tuple[LowSpot, ...], water: Water | None, most: int
) -> ShootNext | None:
    if found is None or water is None or not most:
        return None
    return shoot_next(found.surface, pad.outline, spots, water(), most)


def flatness(grid: HeightGrid) -> Flatness | None:
    """Return the flatness of a pad under the straightedge of ``tolerances.toml``; None where it finds no room.

    Parameters
    ----------
    grid : HeightGrid
        The pad's heights.
    """
    limits = tolerances()
    gaps = largest_gaps(grid.height, grid.cell, limits.straightedge)
    if gaps is None:
        return None
    row, col = gaps.at
    down, across = gaps.direction
    over = gaps.gap > limits.straightedge_gap
    return Flatness(
        straightedge=limits.straightedge,
        gap_max=gaps.greatest,
        at=(grid.x0 + grid.cell * col, grid.y0 + grid.cell * row),
        bearing=math.atan2(across, down) % math.pi,
        share_over_tolerance=float(over.sum() / np.isfinite(gaps.gap).sum()),
    )


def _court_sizes() -> Mapping[str, tuple[float, float]]:
    return {sport: outer_size(spec) for sport, spec in courts().items()}


def downhill(pad: Pad, found: Heights | None) -> tuple[float, float] | None:
    """Return the direction in which a pad as a whole falls, None when it has no fall that is known.

    Parameters
    ----------
    pad : Pad
        The pad.
    found : Heights or None
        Its heights.
    """
    plane = fitted_plane(found, pad.outline) if found else None
    if plane is None or plane.slope < max(tolerances().level_slope, 2 * plane.slope_sd):
        return None
    east, north = -plane.gradient / plane.slope
    return float(east), float(north)

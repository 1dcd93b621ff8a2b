"""What the ground room makes of a pad: the records that cross its door. All base SI, pad frame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from courtwright.says import Says

SCHEMA_VERSION = 1


@dataclass(frozen=True, slots=True)
class HeightGrid:
    """Heights on a grid whose nodes lie symmetrically in the pad's bounding box.

    Parameters
    ----------
    x0, y0 : float
        Place of node (0, 0). [m]
    cell : float
        Spacing of nodes in both directions. [m]
    height : ndarray, shape (rows, cols)
        Best estimate; row 0 is y0 and rows grow with y; NaN off the pad. [m]
    sd : ndarray, shape (rows, cols)
        Standard uncertainty of the height. [m]
    shots : int
        How many shots it rests on. [-]
    """

    x0: float
    y0: float
    cell: float
    height: NDArray[np.float64]
    sd: NDArray[np.float64]
    shots: int


@dataclass(frozen=True, slots=True)
class CourtPlane:
    """The plane that fits a court best.

    Parameters
    ----------
    id, sport : str
        The court.
    slope : float
        Fall along the steepest line. [m/m]
    slope_sd : float
        Its standard uncertainty. [m/m]
    bearing : float
        Direction of fall, clockwise from the pad's +y. [rad]
    off_plane_max : float
        Largest departure of the surface from the plane. [m]
    along_play : float
        Share of the fall that lies along the court's long axis, from net to baseline, 0 to 1. [-]
    crown : float
        Largest difference of bearing between the two halves of the court, each with its own plane,
        split across and along; near pi for a crown or a valley at the net. [rad]
    off_plane_rms : float
        Root mean square of the surface's departures from the plane. [m]
    """

    id: str
    sport: str
    slope: float
    slope_sd: float
    bearing: float
    off_plane_max: float
    along_play: float
    crown: float
    off_plane_rms: float = 0.0


@dataclass(frozen=True, slots=True)
class Flatness:
    """The largest gap under a straightedge, with its place and the share over tolerance."""

    straightedge: float
    gap_max: float
    at: tuple[float, float]
    bearing: float
    share_over_tolerance: float


@dataclass(frozen=True, slots=True)
class LowSpot:
    """A place that holds water. Depths and lengths [m], area [m²], volume [m³], likelihood [-].

    ``drawn`` tells that it comes from a mark of the walker and not from heights; where the walker gave no
    depth, ``depth_max`` is the least that counts and ``depth_is_known`` is False.
    """

    id: str
    area: float
    depth_max: float
    volume: float
    spill: tuple[float, float] | None
    deepest: tuple[float, float]
    likelihood: float | None
    outline: Polygon
    drawn: bool = False
    lasts: float | None = None
    mark: str | None = None
    depth_is_known: bool = True


@dataclass(frozen=True, slots=True)
class Settled:
    """A low spot about which a shot would take doubt: its id (None: no low spot of the reading), place, likelihood now.

    Place in the pad frame [m]; likelihood that it is deeper than the water test allows [-].
    """

    low_spot: str | None
    at: tuple[float, float]
    likelihood: float


@dataclass(frozen=True, slots=True)
class PlaceToShoot:
    """A place to shoot.

    Parameters
    ----------
    at : tuple of float, shape (2,)
        In the pad frame. [m]
    sd : float
        Standard uncertainty of its height, once the places before it are shot. [m]
    settles : tuple of Settled
        The low spots that it tells of, most first; empty where it only makes heights surer in which one may hide.
    doubt_before, doubt_after : float
        Summed entropy of the low spots in doubt, before the shot and as expected after it. [bits]
    """

    at: tuple[float, float]
    sd: float
    settles: tuple[Settled, ...]
    doubt_before: float
    doubt_after: float


@dataclass(frozen=True, slots=True)
class ShootNext:
    """Where to shoot next, best first; the doubt about low spots now [bits]; whether some may hide between shots."""

    places: tuple[PlaceToShoot, ...]
    doubt: float
    may_hide: bool


@dataclass(frozen=True, slots=True)
class WidthClass:
    """Crack length whose width lies from ``low`` (included) to ``high`` (excluded; inf at the top). [m]"""

    low: float
    high: float
    length: float


@dataclass(frozen=True, slots=True)
class CrackReading:
    """The cracks of a pad as a network; drawn lengths are those before snapping. [m]

    ``tallied`` is the length that was counted and not drawn; ``length`` holds both.
    ``unknown_width`` is the part of ``length`` whose width nobody gave.
    ``edge_length`` lies within 12 in of the pad's outline and about parallel to it.
    """

    length: float
    tallied: float
    by_width: tuple[WidthClass, ...]
    unknown_width: float
    width_max: float | None
    step_max: float | None
    junctions: int
    ends: int
    parallels: int
    edge_length: float
    joined_wide: float


@dataclass(frozen=True, slots=True)
class Piece:
    """A part of the slab cut off by cracks and edges; area to the cracks' centre lines. [m²]

    ``cracked_share`` is the share of its border inside the pad that is cracked; 1 for a piece with
    none held. ``is_body`` marks the largest, which is never free.
    """

    id: str
    area: float
    free: bool
    cracked_share: float
    outline: Polygon
    is_body: bool = False


@dataclass(frozen=True, slots=True)
class Heave:
    """A place lifted: height above its surroundings, and the tree it lies near. [m]

    ``tree_distance`` is None when no tree is marked; ``near_trees`` follows TRADE rule 21.
    ``height`` is None where the walker gave none.
    """

    id: str
    height: float | None
    area: float
    at: tuple[float, float]
    tree_distance: float | None
    near_trees: bool


@dataclass(frozen=True, slots=True)
class OldRepair:
    """One old repair: its length and the share of it that has failed, with a 90 % range. [m, -]

    ``failed_share`` is None when neither a state nor soundings tell it.
    """

    id: str
    repair: str | None
    length: float
    area: float
    strip_width: float | None
    failed_share: float | None
    failed_share_range: tuple[float, float]
    taps: int
    outline: Polygon


@dataclass(frozen=True, slots=True)
class PadReading:
    """The reading of one pad."""

    id: str
    area: float
    heights: HeightGrid | None
    courts: tuple[CourtPlane, ...]
    flatness: Flatness | None
    low_spots: tuple[LowSpot, ...]
    cracks: CrackReading
    pieces: tuple[Piece, ...]
    heaves: tuple[Heave, ...]
    old_repairs: tuple[OldRepair, ...]
    low_edge: str | None
    """What stands at the pad's low edge: ``clear``, ``soil``, ``sod``, ``sand``, ``wall``; None: unknown."""
    dammed_length: float = 0.0
    """Length of the outline dammed by soil, sod, sand or a wall. [m]"""
    notes: tuple[Says, ...] = ()
    """What was done to the shots before heights were drawn from them."""
    run_on: float | None = None
    """Ground beside the pad whose water runs onto it; None where nobody shot the ground around. [m²]"""
    run_on_is_least: bool = False
    """Whether that ground reaches the end of the shots, so that it may be more."""
    shoot_next: ShootNext | None = None
    """Where to shoot next; None unless asked for, and without heights."""


@dataclass(frozen=True, slots=True)
class GroundReading:
    """The readings of all pads of a site, in the record's order."""

    pads: tuple[PadReading, ...]
    schema_version: int = SCHEMA_VERSION

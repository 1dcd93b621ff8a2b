"""The schema of the files in ``trade/courts``: the lines of a sport and the room they need."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from courtwright.trade.records import Worded

Mirrored = Literal["none", "ends", "sides", "both"]


@dataclass(frozen=True, slots=True)
class CourtLine:
    """A straight painted line, in the court's own frame.

    The frame has its origin at the court's centre, x across and y along the long axis.

    Parameters
    ----------
    id : str
        What the line is called.
    start, end : tuple of float, shape (2,)
        The drawn edge (or axis) of the line. [m]
    width : float
        Width of the paint. [m]
    paint : {"left", "right", "centre"}
        Where the paint lies, seen from start to end.
    mirrored : {"none", "ends", "sides", "both"}
        Whether the line is there again at the other end (y), the other side (x), or both.
    source : str
        Where it comes from.
    """

    id: str
    start: tuple[float, float]
    end: tuple[float, float]
    width: float
    source: str
    paint: Literal["left", "right", "centre"] = "centre"
    mirrored: Mirrored = "none"


@dataclass(frozen=True, slots=True)
class CourtArc:
    """A painted arc, in the court's own frame.

    Parameters
    ----------
    centre : tuple of float, shape (2,)
        Centre of the circle. [m]
    radius : float
        Radius of the drawn edge. [m]
    start, end : float
        Bearings of the ends, clockwise from +y, start before end. [rad]
    width : float
        Width of the paint. [m]
    paint : {"inside", "outside"}
        On which side of the drawn edge the paint lies.
    """

    id: str
    centre: tuple[float, float]
    radius: float
    start: float
    end: float
    width: float
    source: str
    paint: Literal["inside", "outside"] = "inside"
    mirrored: Mirrored = "none"


@dataclass(frozen=True, slots=True)
class CourtCorner:
    """A point where lines meet that a person can find on the court: its name and place. [m]"""

    id: str
    at: tuple[float, float]
    mirrored: Mirrored = "both"


@dataclass(frozen=True, slots=True)
class CourtNet:
    """The net, across the middle of the court.

    Parameters
    ----------
    post_offset : float
        From the outer edge of the sideline to the centre of the post. [m]
    height, height_post : float
        Height of the net at its middle and at the posts. [m]
    """

    post_offset: float
    height: float
    height_post: float
    source: str


@dataclass(frozen=True, slots=True)
class RunOff:
    """Free room beyond the lines, and at which level of play. [m]"""

    of: str
    side: float
    end: float
    source: str


@dataclass(frozen=True, slots=True)
class PadSize:
    """A usual size of the slab or of the fenced area, and what it is. [m]"""

    of: str
    length: float
    width: float
    source: str


@dataclass(frozen=True, slots=True)
class SlopeRange:
    """The fall that one source asks for or allows. [m/m]"""

    of: str
    min: float
    max: float
    source: str


@dataclass(frozen=True, slots=True)
class CourtSpacing:
    """Room between the sidelines of neighbouring courts in a battery. [m]"""

    of: str
    gap: float
    source: str


@dataclass(frozen=True, slots=True)
class CourtSpec:
    """The playing lines of one sport and the room they need.

    Parameters
    ----------
    length, width : float
        Size of the court, to the edge of the lines that ``dimensions_to`` names. [m]
    dimensions_to : {"outside", "inside"}
        The edge of the border lines from which the rules measure.
    line_width : float
        Usual width of a line, and that of the border. [m]
    line_width_allowed : tuple of float
        Least and greatest width that the rules allow; empty where they give one. [m]
    run_offs, pads, slopes, spacings : tuple
        What sources say of the room around; the first is the default, and they may disagree.
    """

    id: str
    name: Worded
    length: float
    width: float
    dimensions_to: Literal["outside", "inside"]
    line_width: float
    source: str
    lines: tuple[CourtLine, ...]
    corners: tuple[CourtCorner, ...]
    line_width_allowed: tuple[float, ...] = ()
    arcs: tuple[CourtArc, ...] = ()
    net: CourtNet | None = None
    run_offs: tuple[RunOff, ...] = ()
    pads: tuple[PadSize, ...] = ()
    slopes: tuple[SlopeRange, ...] = ()
    spacings: tuple[CourtSpacing, ...] = ()

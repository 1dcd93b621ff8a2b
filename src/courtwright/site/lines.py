"""Where the lines of a court are painted: pure geometry of the data in ``trade/courts``.

A court's own frame has its origin at the court's centre, x across and y along the long axis. The pad
frame is reached by turning clockwise by ``court.turned`` and moving to ``court.centre``. In names,
``near`` is the end at negative y, ``left`` the side at negative x.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, Polygon, box, transform, union_all

from courtwright.errors import OutOfRangeError
from courtwright.says import say
from courtwright.site.record import Court
from courtwright.trade.court_records import CourtArc, CourtLine, CourtSpec, Mirrored

#: Step along an arc: its chord leaves a 7 m circle by a quarter of a millimetre. [rad]
_ARC_STEP = math.radians(1.0)

_MIRRORS: dict[Mirrored, tuple[tuple[int, int], ...]] = {
    "none": ((1, 1),),
    "ends": ((1, 1), (1, -1)),
    "sides": ((1, 1), (-1, 1)),
    "both": ((1, 1), (1, -1), (-1, 1), (-1, -1)),
}

Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LinePath:
    """The way a brush takes: the middle of a painted line, in the court's own frame.

    Parameters
    ----------
    id : str
        What the line is called.
    points : ndarray, shape (n, 2)
        Two points of a straight line, more of an arc; a full circle ends where it begins. [m]
    width : float
        Width of the paint. [m]
    """

    id: str
    points: Points
    width: float


def court_lines(spec: CourtSpec, court: Court) -> tuple[Polygon, ...]:
    """Return the painted lines of a court in the pad frame, one polygon a line, overlaps not removed.

    Parameters
    ----------
    spec : CourtSpec
        The sport.
    court : Court
        Its place on the pad.

    Returns
    -------
    tuple of Polygon
        Lines as painted, in the order of the data. [m]
    """
    to_pad = _to_pad(court)
    return tuple(transform(shape, to_pad) for shape in _painted(spec))


def line_paths(spec: CourtSpec, step: float = _ARC_STEP) -> tuple[LinePath, ...]:
    """Return the middles of all painted lines of a sport in the court's own frame, in the order of the data.

    Parameters
    ----------
    spec : CourtSpec
        The sport.
    step : float
        Turn between two points of an arc. [rad]

    Returns
    -------
    tuple of LinePath
        One for each line as painted, mirrored ones with it. [m]

    Examples
    --------
    The far baseline of tennis is 2 in wide and ends 39 ft from the net, so that its middle lies 38 ft 11 in off:

    >>> from courtwright.trade.load import courts
    >>> paths = line_paths(courts()["tennis"])
    >>> len(paths), round(float(paths[1].points[0, 1]) / 0.0254, 6)
    (11, 467.0)
    """
    straight = [(line, _middle_of_line(line)) for line in spec.lines]
    curved = [(arc, _middle_of_arc(arc, step)) for arc in spec.arcs]
    return tuple(
        LinePath(drawn.id, _mirroring(mirror)(middle), drawn.width)
        for drawn, middle in straight + curved
        for mirror in _MIRRORS[drawn.mirrored]
    )


def painted_area(spec: CourtSpec) -> float:
    """Return the painted area of one court, overlaps counted once. [m²]

    Parameters
    ----------
    spec : CourtSpec
        The sport.

    Returns
    -------
    float
        Area of paint. [m²]

    Examples
    --------
    >>> from courtwright.trade.load import courts
    >>> round(painted_area(courts()["tennis"]) / 0.3048**2, 4)
    79.6667
    """
    return float(union_all(list(_painted(spec))).area)


def line_length(spec: CourtSpec) -> float:
    """Return the length of line to paint, each line as drawn. [m]

    Parameters
    ----------
    spec : CourtSpec
        The sport.

    Returns
    -------
    float
        Sum of the lengths of the drawn edges. [m]

    Examples
    --------
    >>> from courtwright.trade.load import courts
    >>> round(line_length(courts()["pickleball"]) / 0.3048, 4)
    198.0
    """
    straight = sum(math.dist(line.start, line.end) * len(_MIRRORS[line.mirrored]) for line in spec.lines)
    curved = sum(arc.radius * (arc.end - arc.start) * len(_MIRRORS[arc.mirrored]) for arc in spec.arcs)
    return straight + curved


def outer_size(spec: CourtSpec) -> tuple[float, float]:
    """Return length and width to the outside of the border lines, whichever edge the rules measure to. [m]

    Parameters
    ----------
    spec : CourtSpec
        The sport.

    Returns
    -------
    tuple of float
        Length, width. [m]

    Examples
    --------
    FIBA measures to the inside of its 50 mm lines:

    >>> from courtwright.trade.load import courts
    >>> outer_size(courts()["basketball-fiba"])
    (28.1, 15.1)
    """
    border = 2 * spec.line_width if spec.dimensions_to == "inside" else 0.0
    return spec.length + border, spec.width + border


def outer_rectangle(spec: CourtSpec, court: Court) -> Polygon:
    """Return the rectangle to the outside of the border lines, in the pad frame. [m]"""
    return _rectangle(*outer_size(spec), court)


def run_off_rectangle(spec: CourtSpec, court: Court) -> Polygon:
    """Return the court with its run-offs, in the pad frame.

    Parameters
    ----------
    spec : CourtSpec
        The sport.
    court : Court
        Its place on the pad.

    Returns
    -------
    Polygon
        The outer rectangle widened by the sport's first run-offs; the rectangle itself where none is known. [m]
    """
    length, width = outer_size(spec)
    side, end = (spec.run_offs[0].side, spec.run_offs[0].end) if spec.run_offs else (0.0, 0.0)
    return _rectangle(length + 2 * end, width + 2 * side, court)


def net_line(spec: CourtSpec, court: Court) -> LineString | None:
    """Return the net from post centre to post centre, in the pad frame; None for a sport without one. [m]"""
    posts = net_posts(spec, court)
    return LineString(posts) if posts else None


def net_posts(spec: CourtSpec, court: Court) -> tuple[tuple[float, float], ...]:
    """Return the centres of the two net posts in the pad frame, left first; none for a sport without a net. [m]"""
    if spec.net is None:
        return ()
    reach = outer_size(spec)[1] / 2 + spec.net.post_offset
    return _places([(-reach, 0.0), (reach, 0.0)], court)


def corners(spec: CourtSpec, court: Court) -> dict[str, tuple[float, float]]:
    """Return the line corners that a person can find on the court, by name, in the pad frame.

    Parameters
    ----------
    spec : CourtSpec
        The sport.
    court : Court
        Its place on the pad.

    Returns
    -------
    dict
        Place by name, e.g. ``"far-right-doubles-corner"``. [m]

    Examples
    --------
    >>> from courtwright.trade.load import courts
    >>> there = corners(courts()["tennis"], Court("1", "tennis", (0.0, 0.0)))
    >>> len(there), [round(v, 4) for v in there["far-right-doubles-corner"]]
    (16, [5.4864, 11.8872])
    """
    found: dict[str, tuple[float, float]] = {}
    for corner in spec.corners:
        for mirror_x, mirror_y in _MIRRORS[corner.mirrored]:
            x, y = corner.at[0] * mirror_x, corner.at[1] * mirror_y
            end = "" if y == 0 else "far-" if y > 0 else "near-"
            side = "" if x == 0 else "right-" if x > 0 else "left-"
            (found[f"{end}{side}{corner.id}"],) = _places([(x, y)], court)
    return found


def battery_width(spec: CourtSpec, count: int, gap: float, side: float | None = None) -> float:
    """Return the width of courts side by side, with the run-off outside the outer two.

    Parameters
    ----------
    spec : CourtSpec
        The sport.
    count : int
        Number of courts. [-]
    gap : float
        Between the sidelines of neighbours. [m]
    side : float, optional
        Outside run-off; the sport's first by default. [m]

    Returns
    -------
    float
        Width of the battery. [m]

    Raises
    ------
    OutOfRangeError
        If there is no court, or the gap or the run-off is negative or NaN.

    Examples
    --------
    Two tennis courts 12 ft apart, in feet:

    >>> from courtwright.trade.load import courts
    >>> round(battery_width(courts()["tennis"], 2, 12 * 0.3048) / 0.3048, 6)
    108.0
    """
    outside = side if side is not None else spec.run_offs[0].side if spec.run_offs else 0.0
    if count < 1 or not gap >= 0 or not outside >= 0:
        raise OutOfRangeError(say("courts.no-battery", count=count, gap=gap, side=outside))
    return count * outer_size(spec)[1] + (count - 1) * gap + 2 * outside


def _painted(spec: CourtSpec) -> Iterator[Polygon]:
    bands: list[tuple[Polygon, Mirrored]] = [(_band(line), line.mirrored) for line in spec.lines]
    rings: list[tuple[Polygon, Mirrored]] = [(_ring(arc), arc.mirrored) for arc in spec.arcs]
    for shape, mirrored in bands + rings:
        for mirror in _MIRRORS[mirrored]:
            yield transform(shape, _mirroring(mirror))


def _mirroring(mirror: tuple[int, int]) -> Callable[[Points], Points]:
    return lambda xy: xy * np.array(mirror, dtype=float)


def _band(line: CourtLine) -> Polygon:
    (x0, y0), (x1, y1) = line.start, line.end
    length = math.dist(line.start, line.end)
    leftward = np.array([y0 - y1, x1 - x0]) / length * line.width
    near, far = {"left": (0.0, 1.0), "right": (-1.0, 0.0), "centre": (-0.5, 0.5)}[line.paint]
    start, end = np.array(line.start), np.array(line.end)
    return Polygon([start + near * leftward, end + near * leftward, end + far * leftward, start + far * leftward])


def _middle_of_line(line: CourtLine) -> Points:
    (x0, y0), (x1, y1) = line.start, line.end
    leftward = np.array([y0 - y1, x1 - x0]) / math.dist(line.start, line.end) * line.width
    off = {"left": 0.5, "right": -0.5, "centre": 0.0}[line.paint] * leftward
    return np.array([line.start, line.end]) + off


def _middle_of_arc(arc: CourtArc, step: float) -> Points:
    radius = arc.radius + (-arc.width if arc.paint == "inside" else arc.width) / 2
    return np.array(arc.centre) + radius * _directions(arc, step)


def _directions(arc: CourtArc, step: float = _ARC_STEP) -> Points:
    turns = max(2, math.ceil((arc.end - arc.start) / step) + 1)
    bearings = np.linspace(arc.start, arc.end, turns)
    return np.column_stack([np.sin(bearings), np.cos(bearings)])


def _ring(arc: CourtArc) -> Polygon:
    radii = (arc.radius - arc.width, arc.radius) if arc.paint == "inside" else (arc.radius, arc.radius + arc.width)
    inner, outer = (np.array(arc.centre) + radius * _directions(arc) for radius in radii)
    if math.isclose(arc.end - arc.start, 2 * math.pi):
        return Polygon(outer[:-1], [inner[:-1]])
    return Polygon(np.vstack([outer, inner[::-1]]))


def _rectangle(length: float, width: float, court: Court) -> Polygon:
    return transform(box(-width / 2, -length / 2, width / 2, length / 2), _to_pad(court))


def _to_pad(court: Court) -> Callable[[Points], Points]:
    """Return the map from the court's own frame to the pad's: a clockwise turn, then a move."""
    cos, sin = math.cos(court.turned), math.sin(court.turned)
    turn = np.array([[cos, -sin], [sin, cos]])
    return lambda xy: xy @ turn + np.array(court.centre)


def _places(points: list[tuple[float, float]], court: Court) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in _to_pad(court)(np.array(points)))

"""Work along the sides of a pad: soil lowered, swale, drains, fence."""

from __future__ import annotations

from collections.abc import Mapping

from shapely import Polygon

from courtwright.measured import Measured
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.known import Known, usual


def usual_side(outline: Polygon) -> Measured:
    """Return a quarter of the outline, give or take half of that: the work of one side nobody measured. [m]

    Examples
    --------
    >>> from shapely import box
    >>> usual_side(box(0, 0, 20, 10))
    Measured(value=15.0, sd=7.5)
    """
    side = outline.exterior.length / 4
    return Measured(side, side / 2)


def trench_volume(length: Measured, depth: Measured, width: Measured) -> Measured:
    """Return the soil taken out along a side. [m³]

    Parameters
    ----------
    length, depth, width : Measured
        Of what is taken out. [m]

    Returns
    -------
    Measured
        Volume in place. [m³]

    Examples
    --------
    60 lf by 4 in by 3 ft are 60 cubic feet, 2.22 cy of 0.764554857984 m³:

    >>> round(trench_volume(Measured(18.288), Measured(0.1016), Measured(0.9144)).value / 0.764554857984, 2)
    2.22
    """
    return length * depth * width


def lowered_length(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the side that is set lower: as much of the edge as soil, sod or sand dams. [m]"""
    del values
    return _side(known)


def lowered_volume(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the soil that comes out of the lowered side. [m³]"""
    length, depth, width = _side(known).amount, values["depth"], values["width"]
    volume = trench_volume(length, depth, width)
    return worked(volume, "trench-volume", length=length.value, depth=depth.value, width=width.value)


def swale_length(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the swale: along the dammed side and on to the outlet. [m]"""
    del values
    return _with_outlet(known)


def underdrain_length(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the pipe: along the low side and on to the outlet. [m]"""
    del values
    return _with_outlet(known)


def trench_drain_length(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the channel: along the dammed edge. [m]"""
    del values
    return _side(known)


def fence_length(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the fence taken down and put back: a share of it, or of the outline when no fence is marked. [m]"""
    marked = sum(mark.geometry.length for mark in known.pad.of_kind("fence"))
    whole = marked or known.pad.outline.exterior.length
    share = values["share"]
    return worked(Measured(whole) * share, "share-of-length", length=whole, share=share.value)


def joint_length(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the joints cleaned and sealed: those marked, or one side of the pad. [m]"""
    del values
    marked = sum(mark.geometry.length for mark in known.pad.of_kind("joint"))
    if marked <= 0:
        side = usual_side(known.pad.outline)
        return worked(side, "side-guessed", length=side.value)
    return worked(Measured(marked, marked * usual("drawn_doubt").value), "marked-length", length=marked)


def _side(known: Known) -> Worked:
    dammed = known.reading.dammed_length
    if dammed <= 0:
        side = usual_side(known.pad.outline)
        return worked(side, "side-guessed", length=side.value)
    return worked(Measured(dammed, dammed * usual("answer_doubt").value), "dammed-length", length=dammed)


def _with_outlet(known: Known) -> Worked:
    side, outlet = _side(known).amount, known.span("outlet_within")
    on = Measured((outlet.low + outlet.high) / 2, (outlet.high - outlet.low) / 12**0.5) if outlet else side * 0.5
    total = side + on
    return worked(total, "side-and-outlet", side=side.value, outlet=on.value)

"""Turns what was found on a pad into the distresses of the condition index; the whole pad is one sample unit.

Cracks count as longitudinal and transverse cracking (10) by width, a filled one as the lightest; those
along a free edge as edge cracking (7). A part of the slab in free pieces counts by its area as block
cracking (3), and the cracks around and within it do not count again. Old repairs count as patches (11)
by what taps say, else by their state; ravelled and peeling surface as 19, low spots of at least half an
inch as depression (6), heaves as swell (18). What nobody measured is taken as the lightest severity and
marked ``assumed``.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

from shapely import union_all
from shapely.geometry.base import BaseGeometry

from courtwright.ground.reading import PadReading
from courtwright.site.distress import Distress, merged
from courtwright.site.record import Mark, Pad, Tally
from courtwright.site.tallies import tallies_beyond_marks
from courtwright.trade.condition_records import DistressSpec
from courtwright.trade.load import distresses, tolerances

BLOCK, DEPRESSION, EDGE, CRACK, PATCH, SWELL, RAVELLING = 3, 6, 7, 10, 11, 18, 19

_LIKELY = 0.5
#: A size typed at a limit, in inches, may come out this far off it. [m]
_ROUNDING = 1e-9
_FILLED = frozenset({"sealant", "cement", "patch"})


def distresses_of(pad: Pad, reading: PadReading) -> tuple[Distress, ...]:
    """Return the distresses of a pad, by the standard's numbers.

    Parameters
    ----------
    pad : Pad
        Its marks and tallies.
    reading : PadReading
        Its pieces, low spots, heaves and old repairs.

    Returns
    -------
    tuple of Distress
        One a number and severity, in SI; areas no larger than the pad.

    Notes
    -----
    The sample unit is the whole pad, although the standard's holds 2500 ± 1000 sf: a pad is what a
    verdict is about. A tally counts only beyond what is drawn. The standard grades edge
    cracks by break-up, swell by ride and ravelling by loss of aggregate, none of which is recorded on a
    court: width, height and the walker's word stand for them (limits in ``trade/distresses.toml``).
    """
    found = merged((*_cracks(pad, reading), *_repairs(pad, reading), *_worn(pad), *_shapes(reading)))
    specs = distresses()
    return tuple(
        dataclasses.replace(one, quantity=min(one.quantity, reading.area))
        if specs[one.number].measured == "area"
        else one
        for one in sorted(found, key=lambda one: (one.number, one.severity))
        if one.quantity > 0
    )


def _severity(spec: DistressSpec, size: float | None) -> tuple[str | None, bool]:
    """Return the severity of a size and whether it was assumed; None for a size too small to count."""
    if size is None:
        return "L", True
    if spec.high_from is not None and size > spec.high_from + _ROUNDING:
        return "H", False
    if spec.medium_from is not None and size >= spec.medium_from - _ROUNDING:
        return "M", False
    return (None if spec.low_from is not None and size < spec.low_from - _ROUNDING else "L"), False


def _sized(number: int, size: float | None, quantity: float, guessed: bool = False) -> Iterator[Distress]:
    severity, assumed = _severity(distresses()[number], size)
    if severity is not None:
        yield Distress(number, severity, quantity, assumed or guessed)


def _width(crack: Mark) -> float | None:
    """Return what a crack's severity goes by: nothing when it is filled, else its width. [m]"""
    if crack.word("filled") in _FILLED:
        return 0.0
    width = crack.number("width")
    return width if width is not None else crack.number("width_max")


def _cracks(pad: Pad, reading: PadReading) -> Iterator[Distress]:
    loose = union_all([piece.outline for piece in reading.pieces if piece.free])
    around = loose.buffer(2 * tolerances().snap)
    rim = pad.outline.exterior.buffer(tolerances().edge_distance)
    for crack in pad.of_kind("crack"):
        path = crack.geometry.difference(around)
        if path.length > 0:
            along_edge = crack.geometry.intersection(rim).length > tolerances().edge_crack_share * crack.geometry.length
            yield from _sized(EDGE if along_edge else CRACK, _width(crack), path.length)
    yield from _blocks(pad, loose, around)
    yield from _tallied_cracks(pad)


def _blocks(pad: Pad, loose: BaseGeometry, around: BaseGeometry) -> Iterator[Distress]:
    if loose.is_empty:
        return
    bounding = [crack for crack in pad.of_kind("crack") if crack.geometry.intersects(around)]
    widths = [width for crack in bounding if (width := _width(crack)) is not None]
    yield from _sized(BLOCK, max(widths, default=None), loose.area)


def _tallied_cracks(pad: Pad) -> Iterator[Distress]:
    for tally in _counted(pad, "crack"):
        width = 0.0 if tally.properties.get("filled") in _FILLED else _number(tally, "width")
        yield from _sized(CRACK, width, tally.length or 0.0)


def _repairs(pad: Pad, reading: PadReading) -> Iterator[Distress]:
    marks = {mark.id: mark for mark in pad.of_kind("old-repair")}
    states = distresses()[PATCH].by_word
    for repair in reading.old_repairs:
        mark = marks.get(repair.id)
        state = mark.word("state") if mark else None
        if repair.failed_share is not None and (repair.taps or state is None):
            yield Distress(PATCH, states["sound"], repair.area * (1 - repair.failed_share))
            yield Distress(PATCH, states["hollow"], repair.area * repair.failed_share)
        else:
            yield Distress(PATCH, states.get(state or "", "L"), repair.area, state is None)


def _worn(pad: Pad) -> Iterator[Distress]:
    severities = distresses()[RAVELLING].by_word
    drawn = [(mark.word("wear"), mark.geometry.area) for mark in pad.of_kind("worn")]
    counted = [(tally.properties.get("wear"), tally.area or 0.0) for tally in _counted(pad, "worn")]
    for wear, area in drawn + counted:
        if wear in severities:
            yield Distress(RAVELLING, severities[str(wear)], area)


def _shapes(reading: PadReading) -> Iterator[Distress]:
    for spot in reading.low_spots:
        if spot.likelihood is None or spot.likelihood >= _LIKELY:
            yield from _sized(DEPRESSION, spot.depth_max, spot.area)
    for heave in reading.heaves:
        yield from _sized(SWELL, heave.height, heave.area or tolerances().heave_side ** 2, guessed=not heave.area)


def _counted(pad: Pad, kind: str) -> Iterator[Tally]:
    """Yield what was counted of a kind beyond what is drawn of it."""
    return (tally for tally in tallies_beyond_marks(pad) if tally.mark == kind)


def _number(tally: Tally, name: str) -> float | None:
    value = tally.properties.get(name)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None

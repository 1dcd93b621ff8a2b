"""Low spots made up with binder: their area, and the half cylinder that a dip holds."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.ground.reading import LowSpot
from courtwright.measured import Measured
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.known import Known, counted_areas, usual
from courtwright.quantities.wide_patch_area import patched_pieces


def dip_volume(area: Measured, depth: Measured) -> Measured:
    """Return the volume of a dip shaped like an elliptical paraboloid: half of its cylinder. [l]

    Parameters
    ----------
    area : Measured
        Area of its rim. [m²]
    depth : Measured
        Greatest depth. [m]

    Returns
    -------
    Measured
        Volume. [l]

    Examples
    --------
    10 by 6 ft, 3/8 in deep, hold 5.508 gal of 3.785411784 l:

    >>> import math
    >>> area = math.pi * 5 * 3 * 0.09290304
    >>> round(dip_volume(Measured(area), Measured(0.375 * 0.0254)).value / 3.785411784, 3)
    5.508
    """
    return area * depth * 0.5 * 1000.0


def low_spot_area(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the area levelled, less what a full-depth patch takes out anyway. [m²]"""
    del values
    spots = _spots(known)
    if spots is None:
        area = usual("low_spot_share") * known.reading.area
        return worked(area, "low-spots-guessed", area=area.value)
    area = sum((each for each, _ in spots), Measured(0.0))
    return worked(area, "low-spot-area", area=area.value, count=len(spots))


def low_spot_volume(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the binder that fills the low spots. [l]"""
    del values
    spots = _spots(known)
    if spots is None:
        volume = dip_volume(usual("low_spot_share") * known.reading.area, usual("low_spot_depth"))
        return worked(volume, "low-spots-guessed-volume", volume=volume.value / 1000)
    volume = sum((dip_volume(area, depth) for area, depth in spots), Measured(0.0))
    return worked(volume, "low-spot-volume", volume=volume.value / 1000, count=len(spots))


def _spots(known: Known) -> tuple[tuple[Measured, Measured], ...] | None:
    """Return area and depth of each low spot; one for all that an answer tells of; None when nobody looked."""
    if known.loses_surface:
        return ()
    ponding = known.span("ponding_share")
    counted = tuple((area, _usual_depth(known)) for area in counted_areas(known, "low-spot", usual("low_spot_each")))
    looked = known.reading.low_spots or counted or known.reading.heights is not None
    if looked and not known.is_answered("ponding_share"):
        return (*(_spot(known, spot) for spot in known.reading.low_spots), *counted)
    if ponding is None:
        return None
    share = Measured((ponding.low + ponding.high) / 2, (ponding.high - ponding.low) / 12**0.5)
    area = share * known.reading.area
    return ((Measured(area.value, max(area.sd, area.value * usual("answer_doubt").value)), _usual_depth(known)),)


def _spot(known: Known, spot: LowSpot) -> tuple[Measured, Measured]:
    patched = patched_pieces(known)
    left = (
        1.0 if patched.is_empty or spot.outline.area <= 0 else spot.outline.difference(patched).area / spot.outline.area
    )
    likely = 1.0 if spot.likelihood is None else spot.likelihood
    doubt = usual("spot_area_doubt").value + (1 - likely)
    area = spot.area * left * likely
    depth = Measured(spot.depth_max, spot.depth_max * usual("spot_depth_doubt").value)
    return Measured(area, area * doubt), depth if spot.depth_is_known else usual("low_spot_depth")


def _usual_depth(known: Known) -> Measured:
    depth = known.span("low_spot_depth_max")
    if depth is None:
        return usual("low_spot_depth")
    return Measured((depth.low + depth.high) / 2, (depth.high - depth.low) / 12**0.5)

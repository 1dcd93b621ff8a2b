"""The membrane over cracks that it can bridge: their length, and a run beyond each end that stops on the pad."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.measured import Measured
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.cut_out_length import cut_out_length
from courtwright.quantities.doubt import crack_length
from courtwright.quantities.known import Known, usual


def strip_length(cracks: Measured, ends: Measured, beyond: Measured) -> Measured:
    """Return the length of membrane for cracks with so many ends on the pad. [m]

    Parameters
    ----------
    cracks : Measured
        Length of the cracks. [m]
    ends : Measured
        Ends that stop on the pad. [-]
    beyond : Measured
        Run past each end. [m]

    Returns
    -------
    Measured
        Length of strip. [m]

    Examples
    --------
    50 lf of crack with two ends and 12 in beyond each need 52 lf:

    >>> round(strip_length(Measured(15.24), Measured(2), Measured(0.3048)).value / 0.3048, 1)
    52.0
    """
    return cracks + ends * beyond


def membrane_length(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the strip over cracks 1/8 to 1-1/2 in wide, less those at an edge that are cut out instead. [m]"""
    if known.loses_surface:
        return worked(Measured(0.0), "surface-taken-off")
    cracks, found = crack_length(known, "crack_length_bridgeable", "bridgeable_share")
    if "full-depth-patch" in known.remedies:
        edge = known.span("edge_crack_length")
        patched = (0.0 if edge is None else edge.middle) + cut_out_length(known).value
        cracks = Measured(max(cracks.value - patched, 0.0), cracks.sd)
    ends = _free_ends(known, cracks)
    total = strip_length(cracks, ends, values["beyond_end"])
    name = "membrane-length" if found else "membrane-length-guessed"
    return worked(total, name, cracks=cracks.value, ends=round(ends.value), beyond=values["beyond_end"].value)


def _free_ends(known: Known, cracks: Measured) -> Measured:
    """Return the ends on the pad: of drawn cracks as counted, of others two for each usual length. [-]"""
    reading = known.reading.cracks
    between = usual("crack_between_ends")
    drawn = max(reading.length - reading.tallied, 0.0)
    if drawn <= 0:
        return (cracks / between) * 2.0
    share = min(cracks.value / reading.length, 1.0)
    counted = Measured(cracks.value * min(reading.tallied / reading.length, 1.0))
    return Measured(reading.ends * share, 0.1 * reading.ends * share) + (counted / between) * 2.0

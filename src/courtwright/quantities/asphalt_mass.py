"""The mass of asphalt laid or milled."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.measured import Measured
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.known import Known
from courtwright.quantities.surface_area import pad_area


def layer_mass(area: Measured, thickness: Measured, density: Measured) -> Measured:
    """Return the mass of a layer: area by thickness by density. [t]

    Parameters
    ----------
    area : Measured
        Area in plan. [m²]
    thickness : Measured
        Compacted thickness. [m]
    density : Measured
        Mass of a compacted cubic metre. [t/m³]

    Returns
    -------
    Measured
        Mass. [t]

    References
    ----------
    Florida Department of Transportation, "Basis of Estimates": dense mixes 110 lb/sy per inch (as quoted).

    Examples
    --------
    7,200 sf by 1.5 in at 110 lb/sy per inch are 66 short tons of 0.90718474 t:

    >>> round(layer_mass(Measured(668.901888), Measured(0.0381), Measured(2.3493473)).value / 0.90718474, 2)
    66.0
    """
    return area * thickness * density


def overlay_mass(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the asphalt of an overlay. [t]"""
    return _mass(known, values, values["thickness"])


def paving_mass(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the asphalt of a new pavement. [t]"""
    return _mass(known, values, values["paving_thickness"])


def milled_mass(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the millings to haul. [t]"""
    return _mass(known, values, values["milled"])


def _mass(known: Known, values: Mapping[str, Measured], thickness: Measured) -> Worked:
    area = known.reading.area
    mass = layer_mass(pad_area(area), thickness, values["density"])
    return worked(mass, "layer-mass", area=area, thickness=thickness.value, density=values["density"].value)

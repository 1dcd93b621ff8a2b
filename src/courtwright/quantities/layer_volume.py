"""The volume of a layer of the pad: pulverised, dug out, or poured; and the stone that fills one."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.measured import Measured
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.known import Known
from courtwright.quantities.surface_area import pad_area


def layer_volume(area: Measured, depth: Measured) -> Measured:
    """Return area by depth, in place. [m³]

    Parameters
    ----------
    area : Measured
        Area in plan. [m²]
    depth : Measured
        Depth in place. [m]

    Returns
    -------
    Measured
        Volume in place, not loosened. [m³]

    Examples
    --------
    7,200 sf by 6 in are 133.33 cy of 0.764554857984 m³:

    >>> round(layer_volume(Measured(668.901888), Measured(0.1524)).value / 0.764554857984, 2)
    133.33
    """
    return area * depth


def pulverised_volume(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return what is pulverised in place. [m³]"""
    return _volume(known, values["depth"])


def excavated_volume(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return what is dug out and hauled: slab and base. [m³]"""
    return _volume(known, values["depth"])


def slab_volume(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the concrete of a slab. [m³]"""
    return _volume(known, values["thickness"])


def stone_mass(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the stone of a base layer. [t]"""
    thickness, density = values["stone_thickness"], values["stone_density"]
    area = known.reading.area
    mass = layer_volume(pad_area(area), thickness) * density
    return worked(mass, "layer-mass", area=area, thickness=thickness.value, density=density.value)


def _volume(known: Known, depth: Measured) -> Worked:
    area = known.reading.area
    return worked(layer_volume(pad_area(area), depth), "layer-volume", area=area, depth=depth.value)

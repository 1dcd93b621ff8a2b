"""The swale, the trench drain and the pipe that carry a flow."""

from __future__ import annotations

from dataclasses import dataclass

from courtwright.ground.drainage.channels import Pipe, Shape, Trapezoid, most, normal_depth, velocity
from courtwright.trade.drainage import drainage_facts


@dataclass(frozen=True, slots=True)
class Carried:
    """A channel that carries a flow: its size and how the water runs in it.

    Parameters
    ----------
    width : float
        Of its bottom, or the inner diameter of a pipe. [m]
    roughness : float
        Manning's n. [-]
    depth : float
        At which the flow runs. [m]
    velocity : float
        Mean velocity of the flow. [m/s]
    most : float
        What it carries when it is as full as it can run. [m³/s]
    """

    width: float
    roughness: float
    depth: float
    velocity: float
    most: float


@dataclass(frozen=True, slots=True)
class Channels:
    """What carries a flow at one slope; None where no usual size does. ``slope`` is along it [m/m]."""

    slope: float
    swale: Carried | None
    trench: Carried | None
    pipe: Carried | None


def channels_for(wanted: float, slope: float) -> Channels:
    """Return the usual swale, and the smallest trench drain and pipe that are sold and carry a flow.

    Parameters
    ----------
    wanted : float
        The flow. [m³/s]
    slope : float
        Of the bottom. [m/m]
    """
    facts = drainage_facts()
    usual, sizes, rough = facts.channel, facts.sizes, facts.roughness
    bottom = usual.swale_bottom.size
    swale = Trapezoid(bottom, sizes.swale_side, usual.swale_height.size)
    trenches = [(width, Trapezoid(width, height=usual.trench_height.size)) for width in sizes.trench_widths]
    return Channels(
        slope,
        _smallest([(bottom, swale)], wanted, rough["swale"].value, slope),
        _smallest(trenches, wanted, rough["trench"].value, slope),
        _smallest([(size, Pipe(size)) for size in sizes.pipes], wanted, rough["pipe"].value, slope),
    )


def _smallest(
    shapes: list[tuple[float, Trapezoid]] | list[tuple[float, Pipe]], wanted: float, roughness: float, slope: float
) -> Carried | None:
    for width, shape in shapes:
        carried = _carried(width, shape, wanted, roughness, slope)
        if carried is not None:
            return carried
    return None


def _carried(width: float, shape: Shape, wanted: float, roughness: float, slope: float) -> Carried | None:
    depth = normal_depth(shape, wanted, roughness, slope)
    if depth is None:
        return None
    fast = velocity(shape.wet(depth), roughness, slope)
    return Carried(width, roughness, depth, fast, most(shape, roughness, slope))

"""Reads how a pad drains: run-on, peak, the side to lower, the channel that takes the water."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from courtwright.ground.drainage.run_off import peak_flow
from courtwright.ground.drainage.run_on import RunOn, run_on
from courtwright.ground.drainage.side import LowerSide, lower_side
from courtwright.ground.drainage.sizes import Channels, channels_for
from courtwright.ground.drainage.travel_time import kinematic_time
from courtwright.ground.heights import Heights, heights
from courtwright.ground.read import downhill
from courtwright.ground.slope import fitted_plane
from courtwright.says import Says, say
from courtwright.site.record import Pad
from courtwright.trade.drainage import drainage_facts
from courtwright.trade.load import scopes


@dataclass(frozen=True, slots=True)
class Asked:
    """What the asker gives.

    Parameters
    ----------
    intensity : float or None
        Of the rain, from a local authority; None: no peak is told. [m/s]
    ground : str
        What lies uphill, a surface of ``trade/drainage.toml``.
    slope : float or None
        Along the channel; None: the usual one. [m/m]
    """

    intensity: float | None = None
    ground: str = "lawn-heavy-steep"
    slope: float | None = None


@dataclass(frozen=True, slots=True)
class PadDrainage:
    """How one pad drains.

    Parameters
    ----------
    id : str
        The pad.
    area : float
        Of the pad. [m²]
    run_on : RunOn
        The ground uphill that sends its water onto it.
    peak : float or None
        Of run-off, run-on with it where that is known; None without an intensity. [m³/s]
    lower : LowerSide
        The side to lower.
    channels : Channels or None
        What carries the peak.
    concentration : float or None
        How long sheet flow takes across the pad in that rain; None without a fall or an intensity. [s]
    notes : tuple of Says
        What the answer leaves open, and what would settle it.
    from_memory : tuple of str
        Values from memory that it leans on.
    """

    id: str
    area: float
    run_on: RunOn
    peak: float | None
    lower: LowerSide
    channels: Channels | None
    concentration: float | None
    notes: tuple[Says, ...]
    from_memory: tuple[str, ...]


def pad_drainage(pad: Pad, asked: Asked) -> PadDrainage:
    """Return how one pad drains.

    Parameters
    ----------
    pad : Pad
        What was found of it.
    asked : Asked
        Rain, ground uphill, fall of the channel.
    """
    facts = drainage_facts()
    found, _ = heights(pad)
    fall = downhill(pad, found)
    uphill = run_on(pad, fall)
    strip = scopes()["lower-side"].values["width"].size
    side = lower_side(pad, fall, facts.channel.side_drop.size, strip)
    area = float(pad.outline.area)
    peak = None
    if asked.intensity is not None:
        peak = peak_flow(facts.run_off["asphalt"].usual, asked.intensity, area)
        peak += peak_flow(facts.run_off[asked.ground].usual, asked.intensity, uphill.area or 0.0)
    slope = facts.channel.slope.size if asked.slope is None else asked.slope
    return PadDrainage(
        pad.id,
        area,
        uphill,
        peak,
        side,
        None if peak is None else channels_for(peak, slope),
        _concentration(pad, found, fall, asked.intensity),
        _notes(asked, uphill, side),
        _from_memory(asked, side, peak is not None),
    )


def _concentration(
    pad: Pad, found: Heights | None, fall: tuple[float, float] | None, intensity: float | None
) -> float | None:
    plane = fitted_plane(found, pad.outline) if found else None
    if plane is None or fall is None or not intensity:
        return None
    along = shapely.get_coordinates(pad.outline) @ np.array(fall)
    return kinematic_time(drainage_facts().roughness["court"].value, float(np.ptp(along)), intensity, plane.slope)


def _notes(asked: Asked, uphill: RunOn, side: LowerSide) -> tuple[Says, ...]:
    notes: list[Says] = []
    if asked.intensity is None:
        notes.append(say("drainage.no-intensity"))
    if uphill.area is None:
        notes.append(say("drainage.run-on-unknown"))
    elif uphill.is_least:
        notes.append(say("drainage.run-on-least", area=uphill.area))
    if side.length is None:
        notes.append(say("drainage.edges-unknown"))
    elif side.length > 0 and side.depth is None:
        notes.append(say("drainage.height-unknown"))
    if side.walled > 0:
        notes.append(say("drainage.walled", length=side.walled))
    return tuple(notes)


def _from_memory(asked: Asked, side: LowerSide, has_peak: bool) -> tuple[str, ...]:
    facts = drainage_facts()
    named: list[tuple[str, str]] = []
    if has_peak:
        named += [(f"roughness.{name}", spec.source) for name, spec in facts.roughness.items()]
        named += [
            (name, getattr(facts.channel, name).source) for name in ("swale_bottom", "swale_height", "trench_height")
        ]
        if asked.slope is None:
            named.append(("slope", facts.channel.slope.source))
    if side.depth:
        named.append(("side_drop", facts.channel.side_drop.source))
        named.append(("lower-side.width", scopes()["lower-side"].values["width"].source))
    return tuple(name for name, source in named if source == "from memory")

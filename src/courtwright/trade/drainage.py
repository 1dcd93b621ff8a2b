"""What the trade knows of drainage: shares of rain that run off, roughness, the usual channels; in SI."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass, replace

from courtwright.trade import tables
from courtwright.trade.load import amount_in_si, check_source
from courtwright.trade.records import Amount

_FILE = "drainage.toml"
_INCH = 0.0254


@dataclass(frozen=True, slots=True)
class RunOff:
    """The share of rain that runs off a surface: its range and what is reckoned with. [-]"""

    low: float
    usual: float
    high: float
    source: str


@dataclass(frozen=True, slots=True)
class Roughness:
    """Manning's n of a surface. [-]"""

    value: float
    source: str


@dataclass(frozen=True, slots=True)
class Usual:
    """How channels and lowered sides are usually made, in SI.

    ``slope`` is along a channel [-], ``side_drop`` how far the side is set below the pad [m], the others sizes [m].
    """

    slope: Amount
    swale_bottom: Amount
    swale_height: Amount
    trench_height: Amount
    side_drop: Amount


@dataclass(frozen=True, slots=True)
class Sizes:
    """What is sold, in inches as it is named; ``swale_side`` is run to rise [-]."""

    swale_side: float
    trench_widths_in: tuple[float, ...]
    pipes_in: tuple[float, ...]
    source: str

    @property
    def trench_widths(self) -> tuple[float, ...]:
        """Widths of trench drains. [m]"""
        return tuple(size * _INCH for size in self.trench_widths_in)

    @property
    def pipes(self) -> tuple[float, ...]:
        """Inner diameters of pipes. [m]"""
        return tuple(size * _INCH for size in self.pipes_in)


@dataclass(frozen=True, slots=True)
class DrainageFacts:
    """All of ``drainage.toml``."""

    run_off: Mapping[str, RunOff]
    roughness: Mapping[str, Roughness]
    channel: Usual
    sizes: Sizes


@functools.cache
def drainage_facts() -> DrainageFacts:
    """Return what the trade knows of drainage, in SI.

    Raises
    ------
    TradeDataError
        If a value is missing, unknown, or without a source that is listed.
    """
    file = tables.named(_FILE)
    found = tables.record(DrainageFacts, tables.load_toml(file), _FILE)
    for source in (*found.run_off.values(), *found.roughness.values(), found.sizes):
        check_source(source.source, _FILE)
    usual = found.channel
    return replace(
        found,
        channel=Usual(
            slope=amount_in_si(usual.slope, f"{_FILE}, slope"),
            swale_bottom=amount_in_si(usual.swale_bottom, f"{_FILE}, swale_bottom"),
            swale_height=amount_in_si(usual.swale_height, f"{_FILE}, swale_height"),
            trench_height=amount_in_si(usual.trench_height, f"{_FILE}, trench_height"),
            side_drop=amount_in_si(usual.side_drop, f"{_FILE}, side_drop"),
        ),
    )

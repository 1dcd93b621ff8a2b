"""What the trade knows of a new surface over an old one: stone and thickness, thresholds, stakes; in SI."""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace
from typing import Literal

from courtwright.trade import tables
from courtwright.trade.load import amount_in_si, check_source
from courtwright.trade.records import Amount

_FILE = "regrade.toml"

Grading = Literal["fine", "coarse"]


@dataclass(frozen=True, slots=True)
class Layer:
    """How thick a layer is at least: over its stone, fine or coarse graded [-], and in any case [m]."""

    fine: float
    coarse: float
    least: Amount
    source: str


@dataclass(frozen=True, slots=True)
class RegradeFacts:
    """All of ``regrade.toml``; sizes in metres."""

    stone: Amount
    layer: Layer
    threshold: Amount
    stakes: Amount

    def least_thickness(self, stone: float, grading: Grading) -> float:
        """Return the least thickness of a layer. [m]

        Parameters
        ----------
        stone : float
            Largest stone of the mix, its nominal size. [m]
        grading : {"fine", "coarse"}
            Of the mix.

        References
        ----------
        Brown et al., NCHRP Report 531, 2004: thickness over nominal stone at least 3 for fine and 4 for coarse mixes;
        layers under 38 mm cool too fast.
        """
        ratio = self.layer.fine if grading == "fine" else self.layer.coarse
        return max(ratio * stone, self.layer.least.size)


@functools.cache
def regrade_facts() -> RegradeFacts:
    """Return what the trade knows of a new surface, in SI.

    Raises
    ------
    TradeDataError
        If a value is missing, unknown, or without a source that is listed.
    """
    file = tables.named(_FILE)
    found = tables.record(RegradeFacts, tables.load_toml(file), _FILE)
    check_source(found.layer.source, _FILE)
    return RegradeFacts(
        stone=amount_in_si(found.stone, f"{_FILE}, stone"),
        layer=replace(found.layer, least=amount_in_si(found.layer.least, f"{_FILE}, layer.least")),
        threshold=amount_in_si(found.threshold, f"{_FILE}, threshold"),
        stakes=amount_in_si(found.stakes, f"{_FILE}, stakes"),
    )

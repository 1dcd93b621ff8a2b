"""The files by which a new surface is staked out."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence

from courtwright.ground.regrade.read import PadRegrade
from courtwright.offer.stakes import stakes_dxf, stakes_xlsx
from courtwright.trade.words import Language, UnitSystem


def stake_files(pads: Sequence[PadRegrade], language: Language, units: UnitSystem, day: dt.date) -> dict[str, bytes]:
    """Return the content of every file of a stake-out, by name; none where no pad has a new surface.

    Parameters
    ----------
    pads : sequence of PadRegrade
        The new surfaces.
    language, units
        Of the reader.
    day : date
        Written into the workbook as its day.
    """
    staked = [pad for pad in pads if pad.surface is not None]
    if not staked:
        return {}
    return {
        "stakes.xlsx": stakes_xlsx(staked, language, units, day),
        "stakes.dxf": stakes_dxf(staked, language, units),
    }

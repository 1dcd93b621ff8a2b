"""All work of one option on one pad: quantities with their formulas, and steps."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.errors import OutOfRangeError
from courtwright.ground.reading import PadReading
from courtwright.quantities.formulas import FORMULAS
from courtwright.quantities.known import Known, measured
from courtwright.quantities.records import OptionWork, Quantity
from courtwright.quantities.steps import option_steps
from courtwright.says import say
from courtwright.site.record import Pad
from courtwright.trade.load import scopes
from courtwright.verdict.records import Fact

#: The option that only defers has work of its own.
_HOLD = "hold"


def option_work(
    pad: Pad, reading: PadReading, facts: Mapping[str, Fact], option_id: str, remedies: tuple[str, ...]
) -> OptionWork:
    """Return what an option does on a pad, how much of it, and in which steps.

    Parameters
    ----------
    pad, reading : Pad, PadReading
        The pad as recorded and as read.
    facts : mapping of str to Fact
        What the verdict rests on; an unknown one widens what hangs on it.
    option_id : str
        Id of the option; ``hold`` brings its own small work.
    remedies : tuple of str
        The option's remedies.

    Returns
    -------
    OptionWork
        Quantities in SI, one for each item of each remedy, also where it is nothing; steps in order.

    Raises
    ------
    OutOfRangeError
        If a remedy has no scope.
    """
    everything = (*remedies, _HOLD) if option_id == _HOLD and _HOLD not in remedies else remedies
    for remedy in everything:
        if remedy not in scopes():
            raise OutOfRangeError(say("quantities.unknown-remedy", remedy=remedy, known=", ".join(scopes())))
    known = Known(pad, reading, facts, everything)
    quantities = tuple(quantity for remedy in everything for quantity in _quantities(known, remedy))
    steps = option_steps(known, quantities, everything)
    courts = len(pad.courts) or max(1, round(known.courts))
    return OptionWork(pad.id, option_id, remedies, quantities, steps, courts, area=reading.area)


def _quantities(known: Known, remedy: str) -> list[Quantity]:
    scope = scopes()[remedy]
    values = {name: measured(value) for name, value in scope.values.items()}
    found: list[Quantity] = []
    for item in scope.items:
        taken = FORMULAS[item.formula](known, values)
        found.append(Quantity(item.id, remedy, taken.amount, item.unit, taken.formula))
    return found

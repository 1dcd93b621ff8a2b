"""A quantity just worked out, with what to say of how."""

from __future__ import annotations

from dataclasses import dataclass

from courtwright.measured import Measured
from courtwright.says import Says, say


@dataclass(frozen=True, slots=True)
class Worked:
    """An amount in the unit of its item, and its formula with its inputs. [any]"""

    amount: Measured
    formula: Says


def worked(amount: Measured, formula: str, **inputs: object) -> Worked:
    """Return an amount, never below nothing, with its formula's text and inputs.

    Examples
    --------
    >>> worked(Measured(-0.1, 0.2), "once").amount
    Measured(value=0.0, sd=0.2)
    """
    return Worked(Measured(max(amount.value, 0.0), amount.sd), say(f"quantities.formula-{formula}", **inputs))

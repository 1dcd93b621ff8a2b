"""What is to be done, how much of it: the records that cross this room's door. All base SI."""

from __future__ import annotations

from dataclasses import dataclass

from courtwright.measured import Measured
from courtwright.says import Says

SCHEMA_VERSION = 1


@dataclass(frozen=True, slots=True)
class Quantity:
    """One item of work.

    Parameters
    ----------
    item : str
        Id of a rate line, e.g. ``"membrane-strip"``.
    remedy : str
        The remedy it belongs to.
    amount : Measured
        How much, in ``unit``, never negative. [unit]
    unit : str
        ``m``, ``m2``, ``m3``, ``t``, ``l`` or ``ea``.
    formula : Says
        How it was worked out, with its inputs.
    is_allowance : bool
        True for contingent work that is billed by the unit as found.
    """

    item: str
    remedy: str
    amount: Measured
    unit: str
    formula: Says
    is_allowance: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the work: who, how long, and the wait after it.

    ``days`` are crew days at the likely production; ``wait_days`` is the cure before the next step
    (calendar days). ``visit`` counts mobilisations: a step with a new number is a new trip.
    ``by`` is whose crew comes: ``own``, ``mill``, ``paver`` or ``plant``.
    """

    id: str
    remedy: str
    crew: int
    days: Measured
    wait_days: float
    visit: int
    by: str = "own"


@dataclass(frozen=True, slots=True)
class OptionWork:
    """All work of one option on one pad; ``courts`` is what a price per court is divided by."""

    pad: str
    option: str
    remedies: tuple[str, ...]
    quantities: tuple[Quantity, ...]
    steps: tuple[Step, ...]
    courts: int
    area: float = 0.0
    """Area of the pad, all courts and run-offs together. [m²]"""
    schema_version: int = SCHEMA_VERSION

    @property
    def crew_days(self) -> float:
        """All crew days. [day]"""
        return sum(step.days.value for step in self.steps)

    @property
    def wait_days(self) -> float:
        """All waits, each the cure of a step. [day]"""
        return sum(step.wait_days for step in self.steps)

"""The schema of the work of a remedy, and of the materials it uses."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from courtwright.trade.records import Amount, Worded

LimitName = Literal[
    "air_least",
    "surface_most",
    "night_least",
    "dry_before_rain",
    "between_coats",
    "cure_least",
    "cure_most",
    "lift_least",
    "lift_most",
]


@dataclass(frozen=True, slots=True)
class MaterialSpec:
    """A material: which items of work use it, and within what limits it may be laid.

    Parameters
    ----------
    title : Worded
        What it is.
    items : tuple of str
        Items of the scopes that are made of it.
    source : str
        Where the entry comes from.
    limits : mapping of str to Amount
        By name (``LimitName``): temperatures in °C, times in hours or days, lifts in metres. [by unit]
    """

    title: Worded
    items: tuple[str, ...]
    source: str
    limits: Mapping[str, Amount] = field(default_factory=dict[str, Amount])


@dataclass(frozen=True, slots=True)
class ItemSpec:
    """One item of work of a remedy: which formula gives its quantity, in which SI unit."""

    id: str
    unit: Literal["m", "m2", "m3", "t", "l", "ea"]
    formula: str
    waste_pct: float = 0.0


@dataclass(frozen=True, slots=True)
class StepSpec:
    """One step of a remedy's work.

    Parameters
    ----------
    id : str
        Named in ``quantities.step-<id>``.
    order : int
        Steps of all remedies of an option are done in this order.
    by : {"own", "mill", "paver", "plant"}
        Whose crew.
    crew : int
        People.
    item : str
        The item whose amount is done at the production given.
    per : str
        The unit of the production; SI once loaded.
    low, likely, high : float
        How much a day. [unit/day]
    least_days : float
        Least crew time. [day]
    wait_days : float
        Cure before the next step, in calendar days. [day]
    times : str
        The scope's value that says how often the step is repeated; empty for once.
    """

    id: str
    order: int
    by: Literal["own", "mill", "paver", "plant"]
    crew: int
    item: str
    per: str
    low: float
    likely: float
    high: float
    source: str
    least_days: float = 0.0
    wait_days: float = 0.0
    times: str = ""


@dataclass(frozen=True, slots=True)
class HiddenState:
    """What may be found when a piece is opened: its chance and the extent per unit opened. [-, unit/unit]"""

    name: str
    chance: float
    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True)
class AllowanceSpec:
    """Contingent work: what it is measured on, in pieces of what size, and what may be found.

    Parameters
    ----------
    item : str
        Rate line of the contingent work.
    unit : str
        Its SI unit.
    base : str
        The item of the same remedy that is opened.
    piece : float
        Amount of the base that is found in one state, in ``per``. [unit]
    per : str
        Unit of ``piece``; SI once loaded.
    extent_per : str
        Unit of the states' extents; SI once loaded.
    fact : str
        A claim that moves the chances; empty when none.
    if_true, if_false : float
        What the chances are multiplied by when the claim is known. [-]
    """

    item: str
    unit: Literal["m", "m2", "m3", "t", "l", "ea"]
    base: str
    piece: float
    per: str
    extent_per: str
    states: tuple[HiddenState, ...]
    source: str
    fact: str = ""
    if_true: float = 1.0
    if_false: float = 1.0


@dataclass(frozen=True, slots=True)
class LifeSpec:
    """How long a remedy serves, in years."""

    p10: float
    p50: float
    p90: float
    source: str


@dataclass(frozen=True, slots=True)
class Shortened:
    """What left unmended shortens a remedy's life, by what factor, and which remedies mend it. [-]

    ``above_pct`` is the share above which a number counts; a claim counts when it is true.
    """

    fact: str
    factor: float
    unless: tuple[str, ...]
    source: str
    above_pct: float = 0.0


@dataclass(frozen=True, slots=True)
class ScopeSpec:
    """The work of one remedy: items, steps, contingencies, warranty and life.

    Parameters
    ----------
    source : str
        Where the scope comes from.
    items, steps, allowances : tuple
        What is done.
    values : mapping of str to Amount
        The dimensions its formulas use.
    unknown_widens : mapping of str to float
        What not knowing a fact adds to the relative spread of the remedy's price. [-]
    warranty_months : int
        Usual warranty. [month]
    life : LifeSpec or None
        How long it serves; None for a companion that lasts as long as what it goes with.
    life_rank : int
        The remedy of the highest rank sets an option's life.
    shortened : tuple of Shortened
        What left unmended shortens that life.
    new_surface : bool
        Whether it leaves a new pavement, which needs no cracks filled before its colour.
    removes_surface : bool
        Whether it takes the old surface off: what was on it is then not also repaired.
    kept_up : bool
        Whether what it leaves is recoloured and cared for over its life.
    """

    source: str
    items: tuple[ItemSpec, ...]
    steps: tuple[StepSpec, ...]
    warranty_months: int
    warranty_source: str
    values: Mapping[str, Amount] = field(default_factory=dict[str, Amount])
    allowances: tuple[AllowanceSpec, ...] = ()
    unknown_widens: Mapping[str, float] = field(default_factory=dict[str, float])
    life: LifeSpec | None = None
    life_rank: int = 0
    shortened: tuple[Shortened, ...] = ()
    new_surface: bool = False
    removes_surface: bool = False
    kept_up: bool = True

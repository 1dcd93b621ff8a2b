"""The schema of house rates: what work sells for, what it costs, what others quoted."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from courtwright.trade.records import Amount, Worded


@dataclass(frozen=True, slots=True)
class RateLine:
    """What one unit of work or material costs.

    Parameters
    ----------
    per : str
        The unit; a trade unit in the file, SI once loaded.
    low, likely, high : float
        Money for one unit, in the book's currency. [money/unit]
    source : str
        Where it comes from.
    includes : tuple of str
        What the figure holds, as ids of ``cost.includes-<id>``.
    labour_share : float
        Share of the figure that is labour. [-]
    follows : str
        The index that the figure follows; empty when none.
    likely_for : mapping of str to float
        The likely figure for one kind of customer, where it differs. [money/unit]
    minimum : str
        The day minimum that a short quantity pays; empty when none.
    in_numbers : bool
        Whether the figure falls when several courts are done in one go.
    dated : str
        The day from which it counts, ISO; that of the book where empty.
    """

    per: str
    low: float
    likely: float
    high: float
    source: str
    includes: tuple[str, ...] = ()
    labour_share: float = 0.0
    follows: Literal["", "asphalt"] = ""
    likely_for: Mapping[str, float] = field(default_factory=dict[str, float])
    minimum: str = ""
    in_numbers: bool = False
    dated: str = ""


@dataclass(frozen=True, slots=True)
class CostLine:
    """What the contractor pays for one unit: material bought, or work given out."""

    per: str
    cost: float
    kind: Literal["material", "subcontract", "haul"]
    source: str


@dataclass(frozen=True, slots=True)
class Quote:
    """A subcontractor's standing price: for what, for how long, with what and for how little.

    ``valid_until`` is an ISO date; without it the price holds for ``valid_days`` from the walk.
    """

    id: str
    who: Worded
    covers: tuple[str, ...]
    valid_days: int
    includes: tuple[str, ...]
    minimum: float
    source: str
    valid_until: str = ""


@dataclass(frozen=True, slots=True)
class RateBook:
    """The house rates: what work sells for and what it costs, dated.

    Shares are 0 to 1, money is in ``currency``; a day is one crew day of eight hours.

    Parameters
    ----------
    id : str
        The file's name, set by the loader.
    lines, costs, mobilisation, minimum : mapping
        Sale rates by item; costs by item; trips by who comes (``own``, ``heavy``); least charges
        (``job`` and the day minimums).
    crew_day, kit_day : Amount
        One person's day; the truck and tools of one crew for a day.
    overhead, profit, subcontract_markup : Amount
        On own cost, on own cost with overhead, and on work given out. [-]
    wage_premium : RateLine
        What prevailing wage adds to labour. [-]
    wage_law_for : tuple of str
        The customers whose work may fall under a law on wages; for others it counts only when somebody said so.
    in_numbers : Amount
        How much a figure that falls with numbers would fall for ever more courts. [-]
    spread : mapping of str to Amount
        Relative standard deviation of what all lines share: ``asphalt``, ``labour``, and ``wage``
        while nobody knows whether prevailing wage applies; ``kinship`` is the correlation between
        the rates of different lines. [-]
    firm_chance : Amount
        The chance that the base work costs no more than the firm price. [-]
    discount : Amount
        Real yearly rate. [-]
    upkeep : mapping of str to Amount
        ``recolour_every`` [year] and ``care`` (money per m² and year).
    late_paving : str
        Month and day (``MM-DD``) after which colour waits for spring.
    winter_price : {"held", "escalated"}
        What happens to the colour's price over the winter.
    winter_escalation : Amount
        By how much it rises when escalated. [-]
    asphalt_threshold : Amount
        Change of the asphalt index beyond which the price follows it. [-]
    """

    title: Worded
    dated: str
    region: Worded
    currency: str
    illustrative: bool
    source: str
    valid_days: int
    firm_chance: Amount
    crew_day: Amount
    kit_day: Amount
    overhead: Amount
    profit: Amount
    subcontract_markup: Amount
    wage_premium: RateLine
    wage_law_for: tuple[str, ...]
    in_numbers: Amount
    spread: Mapping[str, Amount]
    discount: Amount
    upkeep: Mapping[str, Amount]
    late_paving: str
    winter_price: Literal["held", "escalated"]
    winter_escalation: Amount
    asphalt_threshold: Amount
    mobilisation: Mapping[str, RateLine]
    minimum: Mapping[str, RateLine]
    lines: Mapping[str, RateLine]
    costs: Mapping[str, CostLine]
    quotes: tuple[Quote, ...] = ()
    id: str = ""

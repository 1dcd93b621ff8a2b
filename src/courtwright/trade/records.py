"""The schema of the trade's data: what its TOML files hold, as frozen records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal


@dataclass(frozen=True, slots=True)
class Worded:
    """A short text in both languages."""

    en: str
    es: str


@dataclass(frozen=True, slots=True)
class Source:
    """Where a value comes from: a document that ``sources.toml`` lists."""

    title: str
    publisher: str = ""
    year: int | None = None
    note: str = ""


FactKind = Literal["length", "small", "area", "share", "slope", "count", "years", "hours", "claim", "word"]


@dataclass(frozen=True, slots=True)
class FactSpec:
    """A fact that verdicts rest on: what may be known of a pad, and how to find out.

    Parameters
    ----------
    title : Worded
        What it is, as a person would ask.
    kind : FactKind
        How it is given: lengths and areas in SI inside, ``claim`` true or false, ``word`` one of ``words``.
    words : tuple of str
        The words a ``word`` fact may take.
    how : Worded
        How to measure it.
    tool : Worded or None
        With what.
    minutes : float
        About how long it takes one person. [min]
    leaves_hole : bool
        Whether it leaves a hole, so that the owner's leave is needed.
    source : str
        Where the method comes from.
    """

    title: Worded
    kind: FactKind
    how: Worded
    minutes: float
    source: str
    words: tuple[str, ...] = ()
    tool: Worded | None = None
    leaves_hole: bool = False


@dataclass(frozen=True, slots=True)
class Amount:
    """A number of the trade with its unit, its standard uncertainty and its source.

    Written in trade units; the loader turns it into SI once, and ``unit`` says which.
    """

    size: float
    unit: str
    source: str
    sd: float = 0.0


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


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit by which the ground is judged, in base SI, and where it comes from."""

    value: float
    source: str


@dataclass(frozen=True, slots=True)
class Tolerances:
    """By what the ground is judged, in base SI; ``tolerances.toml`` says what each is.

    Lengths, widths and depths [m], slopes [m/m]. ``sources`` tells where each comes from.
    """

    water_test: float
    straightedge: float
    straightedge_gap: float
    slope_min: float
    slope_max: float
    level_slope: float
    free_border: float
    end_reach: float
    snap: float
    fine_crack: float
    wide_crack: float
    edge_distance: float
    tree_reach: float
    lane_min: float
    lane_max: float
    lane_crack: float
    sounding_reach: float
    strip_width: float
    shot_reach: float
    shot_sd: float
    undulation_sd: float
    undulation_reach: float
    edge_mark_reach: float
    dam_least: float
    piece_least: float
    sources: Mapping[str, str]


MarkPropertyKind = Literal[
    "length", "small", "word", "claim", "count", "hours", "years", "degrees", "text", "claim_or_small"
]


@dataclass(frozen=True, slots=True)
class MarkProperty:
    """What may be written of one kind of mark under one name.

    Parameters
    ----------
    kind : MarkPropertyKind
        How it is given; lengths are in metres inside.
    words : tuple of str
        The words that a ``word`` may be.
    doubtful_over : float or None
        Above this a bare number was probably meant in a smaller unit, and is asked about. [m]
    impossible_over : float or None
        Above this it is taken for a slip of the pen, and not used. [m]
    source : str
        Where the limits come from; empty when there are none.
    """

    kind: MarkPropertyKind
    words: tuple[str, ...] = ()
    doubtful_over: float | None = None
    impossible_over: float | None = None
    source: str = ""


@dataclass(frozen=True, slots=True)
class MarkKind:
    """One kind of mark: how it is drawn, where it may lie, and what may be written of it.

    Parameters
    ----------
    title : Worded
        Its name for a reader.
    geometry : tuple of {"point", "line", "polygon"}
        How it may be drawn.
    lies : {"on", "along", "anywhere"}
        On the pad; along its outline; or anywhere near it.
    properties : mapping of str to MarkProperty
        By the name in the file.
    source : str
        Where the kind comes from.
    """

    title: Worded
    geometry: tuple[Literal["point", "line", "polygon"], ...]
    lies: Literal["on", "along", "anywhere"]
    properties: Mapping[str, MarkProperty]
    source: str

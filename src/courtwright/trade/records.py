"""The schema of the trade's data: what its TOML files hold, as frozen records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
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
class Limit:
    """One limit by which the ground is judged, in base SI, and where it comes from."""

    value: float
    source: str


@dataclass(frozen=True, slots=True)
class Tolerances:
    """By what the ground is judged, in base SI; ``tolerances.toml`` says what each is.

    Lengths, widths and depths [m], slopes and shares [-], turns [rad], a wait [s], a year of the calendar.
    ``sources`` tells where each comes from.
    """

    water_test: float
    water_test_wait: float
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
    crown_turn: float
    least_fall: float
    sediment_reach: float
    levelling_setup: float
    levelling_first_1: float
    levelling_first_2: float
    levelling_second_1: float
    levelling_second_2: float
    levelling_third: float
    tape: float
    old_coating: float
    trunk_reach: float
    post_lean: float
    heave_side: float
    edge_crack_share: float
    run_on_least: float
    sources: Mapping[str, str]


MarkPropertyKind = Literal[
    "length", "small", "word", "claim", "count", "hours", "years", "degrees", "text", "claim_or_small"
]


@dataclass(frozen=True, slots=True)
class QuickValues:
    """What is written most often on a walk, as people type it: offered as keys, and no limit to anything."""

    us: tuple[str, ...]
    metric: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class MarkProperty:
    """What may be written of one kind of mark under one name.

    Parameters
    ----------
    title : Worded
        Its name for a reader.
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
    quick : QuickValues or None
        What is written most often.
    """

    title: Worded
    kind: MarkPropertyKind
    words: tuple[str, ...] = ()
    doubtful_over: float | None = None
    impossible_over: float | None = None
    source: str = ""
    quick: QuickValues | None = None


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

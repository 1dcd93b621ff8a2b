"""The schema of the trade's data: what its TOML files hold, as frozen records."""

from __future__ import annotations

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

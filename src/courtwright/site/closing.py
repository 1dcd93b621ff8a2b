"""Judges how a level field book closes: what it may miss by, by its order, and what to shoot again."""

from __future__ import annotations

import math
from dataclasses import dataclass

from courtwright.errors import InputError
from courtwright.says import say
from courtwright.site.complaints import Complaints
from courtwright.site.formats.table_csv import note, tell
from courtwright.site.levelling import Leg, Run, to_reshoot
from courtwright.trade.load import tolerances

#: By what a run is judged; all but the first count by its length.
ORDERS = ("building", "first-1", "first-2", "second-1", "second-2", "third")


@dataclass(frozen=True, slots=True)
class Closing:
    """How a book closes: what it may miss by [m], whether it keeps that, and the legs to shoot again."""

    allowable: float | None
    closes: bool | None
    again: tuple[Leg, ...] = ()


def closing_of(run: Run, order: str, file: str, wrong: Complaints) -> Closing:
    """Return how a book closes, and complain where it does not or cannot be judged.

    Parameters
    ----------
    run : Run
        The book, reduced.
    order : str
        One of ``ORDERS``.
    file : str
        The book's name.
    wrong : Complaints
        Takes in what does not close.

    Raises
    ------
    InputError
        If the order counts by a length that nobody measured.
    """
    if run.misclosure is None:
        note(wrong, file, "", "no-return")
        return Closing(None, None)
    if not run.sections:
        # All rods of a laser are read from one set-up.
        allowable = tolerances().levelling_setup
        if abs(run.misclosure) > allowable:
            tell(wrong, file, "", "laser-moved", misclosure=abs(run.misclosure), allowable=allowable)
        return Closing(allowable, abs(run.misclosure) <= allowable)
    total = _allowable(order, run.setups, run.length)
    if total is None:
        raise InputError(say("book.no-distance", order=order), file, say("book.no-distance-do"))
    again = ()
    for section in run.sections:
        allowable = _allowable(order, len(section.legs), section.length) or 0.0
        legs = to_reshoot(section, allowable)
        if legs:
            legs_named = ", ".join(f"{leg.start} - {leg.end}" for leg in legs)
            off = abs(section.misclosure)
            tell(wrong, file, "", "open", misclosure=off, allowable=allowable, legs=legs_named)
        again += legs
    return Closing(total, not again and abs(run.misclosure) <= total, again)


def _allowable(order: str, setups: int, length: float | None) -> float | None:
    """Return what a run may miss by, or None where its order counts by a length that nobody measured. [m]"""
    limits = tolerances()
    if order == "building":
        return limits.levelling_setup * math.sqrt(setups)
    by_order = {
        "first-1": limits.levelling_first_1,
        "first-2": limits.levelling_first_2,
        "second-1": limits.levelling_second_1,
        "second-2": limits.levelling_second_2,
        "third": limits.levelling_third,
    }
    return None if length is None else by_order[order] * math.sqrt(length / 1000)

"""What is under the pad and under old repairs: the chance of each state, its extent, the allowance for it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtri

from courtwright.cost.spread import Draws, triangular, triangular_mean
from courtwright.cost.streams import Streams, chance_of
from courtwright.quantities.records import OptionWork
from courtwright.trade.load import scopes
from courtwright.trade.scope_records import AllowanceSpec, HiddenState
from courtwright.verdict.records import Fact

#: Pieces told apart at the most; longer work is cut into so many equal pieces. [-]
_MOST_PIECES = 64
#: How much of what one piece hides the others of the pad hide too: loading of the shared draw. [-]
_SHARED = 0.5


@dataclass(frozen=True, slots=True)
class HiddenWork:
    """Contingent work of one remedy: the drawn amounts and their expectation. [unit]"""

    item: str
    unit: str
    remedy: str
    amounts: Draws
    expected: float
    source: str


def hidden_work(work: OptionWork, facts: Mapping[str, Fact], streams: Streams) -> tuple[HiddenWork, ...]:
    """Return the contingent work of an option, drawn.

    Parameters
    ----------
    work : OptionWork
        Its quantities are what is opened.
    facts : mapping of str to Fact
        Claims that move the chances.
    streams : Streams
        Random numbers.

    Returns
    -------
    tuple of HiddenWork
        One for each allowance whose base is more than nothing.
    """
    shared = streams.normal("hidden")
    found: list[HiddenWork] = []
    for remedy in dict.fromkeys(quantity.remedy for quantity in work.quantities):
        amounts = {q.item: q.amount.value for q in work.quantities if q.remedy == remedy}
        for spec in scopes()[remedy].allowances:
            if amounts[spec.base] > 0:
                states = _likely_states(spec, facts)
                drawn = drawn_extent(amounts[spec.base], spec.piece, states, shared, streams, f"{remedy}/{spec.item}")
                expected = amounts[spec.base] * expected_extent(states)
                found.append(HiddenWork(spec.item, spec.unit, remedy, drawn, expected, spec.source))
    return tuple(found)


def expected_extent(states: Sequence[HiddenState]) -> float:
    """Return the expected contingent amount for one unit opened. [unit/unit]

    Examples
    --------
    A chance of 0.30 of 2 to 9, likely 4, is 1.5 on average:

    >>> expected_extent([HiddenState("bad", 0.3, 2, 4, 9)])
    1.5
    """
    return math.fsum(state.chance * triangular_mean(state.low, state.likely, state.high) for state in states)


def drawn_extent(
    base: float, piece: float, states: Sequence[HiddenState], shared: Draws, streams: Streams, name: str
) -> Draws:
    """Return drawn contingent amounts for what is opened.

    Each piece is in one of the states or sound; what one piece hides makes the same in the others
    likelier. The chance of each state over all draws is the one given.

    Parameters
    ----------
    base : float
        Amount opened. [unit]
    piece : float
        Amount that is found in one state. [unit]
    states : sequence of HiddenState
        What may be found; the chances sum to at most 1. [-]
    shared : ndarray, shape (draws,)
        Standard normal draws that all contingencies of the pad share. [-]
    streams : Streams
        Random numbers of this option.
    name : str
        Names this contingency's stream.

    Returns
    -------
    ndarray, shape (draws,)
        Contingent amounts. [unit]
    """
    size = max(piece, base / _MOST_PIECES)
    lengths = np.full(math.ceil(base / size - 1e-9), size)
    lengths[-1] = base - size * (len(lengths) - 1)
    generator = streams.generator(name)
    found_as = generator.random((_MOST_PIECES, streams.draws), dtype=np.float32)[: len(lengths)]
    total = np.zeros(streams.draws)
    above = 0.0
    for state in states:
        low, high = _given_shared(above, shared), _given_shared(above + state.chance, shared)
        opened = lengths @ ((found_as >= low) & (found_as < high))
        total += opened * triangular(generator.random(streams.draws), state.low, state.likely, state.high)
        above += state.chance
    return total


def _given_shared(chance: float, shared: Draws) -> Draws:
    """Return a chance given the shared draw, such that its mean over all draws is the chance. [-]"""
    if chance <= 0 or chance >= 1:
        return np.full_like(shared, min(max(chance, 0.0), 1.0))
    return chance_of((float(ndtri(chance)) + _SHARED * shared) / math.sqrt(1 - _SHARED**2))


def _likely_states(spec: AllowanceSpec, facts: Mapping[str, Fact]) -> tuple[HiddenState, ...]:
    known = facts.get(spec.fact)
    value = known.value if known else None
    factor = spec.if_true if value is True else spec.if_false if value is False else 1.0
    total = math.fsum(state.chance for state in spec.states) * factor
    factor = factor / max(total, 1.0)
    return tuple(replace(state, chance=state.chance * factor) for state in spec.states)

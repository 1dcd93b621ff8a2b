"""How long an option serves: by its main remedy, shortened by what is left unmended; and a court kept up or not."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from courtwright.cost.spread import Draws, two_sided_lognormal
from courtwright.cost.streams import Streams, chance_of
from courtwright.measured import Span
from courtwright.trade.load import court_lives, scopes
from courtwright.trade.scope_records import Shortened
from courtwright.verdict.records import Fact

#: How often something that shortens a life, and that nobody looked for, is there (from memory). [-]
_UNKNOWN_HOLDS = 0.15


def main_remedies(option: str, remedies: tuple[str, ...]) -> tuple[str, ...]:
    """Return the remedies that set an option's life: the one it is named after, else those of the highest rank."""
    if option in remedies and scopes()[option].life is not None:
        return (option,)
    ranked = {remedy: scopes()[remedy].life_rank for remedy in remedies if scopes()[remedy].life is not None}
    return tuple(remedy for remedy, rank in ranked.items() if rank == max(ranked.values()))


def drawn_life(option: str, remedies: tuple[str, ...], facts: Mapping[str, Fact], streams: Streams) -> Draws:
    """Return drawn lives of an option: the shortest of its main remedies.

    Parameters
    ----------
    option : str
        Its id.
    remedies : tuple of str
        The option's remedies.
    facts : mapping of str to Fact
        What is left unmended shortens; what is unknown shortens some of the draws.
    streams : Streams
        Random numbers.

    Returns
    -------
    ndarray, shape (draws,)
        Lives; one year when no remedy has a life. [year]
    """
    lives = np.full(streams.draws, np.inf)
    for remedy in main_remedies(option, remedies):
        life = scopes()[remedy].life
        if life is not None:
            drawn = two_sided_lognormal(streams.normal(f"{remedy}/life"), life.p10, life.p50, life.p90)
            lives = np.minimum(lives, drawn * life_factor(remedy, remedies, facts, streams))
    return np.where(np.isinf(lives), 1.0, lives)


def life_factor(remedy: str, remedies: tuple[str, ...], facts: Mapping[str, Fact], streams: Streams) -> Draws:
    """Return what is left of a remedy's life by what the option leaves unmended, drawn.

    Parameters
    ----------
    remedy : str
        The remedy.
    remedies : tuple of str
        All remedies of the option.
    facts : mapping of str to Fact
        What is wrong with the pad; what nobody knows is wrong in 15 draws of 100.
    streams : Streams
        Random numbers.

    Returns
    -------
    ndarray, shape (draws,)
        Factors, 0 to 1. [-]
    """
    factor = np.ones(streams.draws)
    for shortened in scopes()[remedy].shortened:
        if not set(shortened.unless) & set(remedies):
            factor *= np.where(_drawn_holds(shortened, facts, streams), shortened.factor, 1.0)
    return factor


def _drawn_holds(shortened: Shortened, facts: Mapping[str, Fact], streams: Streams) -> NDArray[np.bool_]:
    holds = _holds(shortened, facts)
    if holds is None:
        return chance_of(streams.normal(f"{shortened.fact}/holds")) < _UNKNOWN_HOLDS
    return np.full(streams.draws, holds)


def _holds(shortened: Shortened, facts: Mapping[str, Fact]) -> bool | None:
    known = facts.get(shortened.fact)
    value = known.value if known else None
    if isinstance(value, Span):
        return value.is_above(shortened.above_pct / 100)
    return value if isinstance(value, bool) else None


def court_life(recoloured_every: float | None) -> float:
    """Return how long a court lasts as a whole, by how often it is recoloured and its cracks are kept closed.

    The court ages as a neglected one while its coat no longer protects it, and more slowly while it
    does; how much more slowly is set by the life of a court kept up.

    Parameters
    ----------
    recoloured_every : float or None
        Years between recolourings; None for never. [year]

    Returns
    -------
    float
        Life. [year]

    Notes
    -----
    A rule of thumb through two points of common practice: 20 years neglected, 50 to 60 kept up.

    Examples
    --------
    >>> court_life(None), court_life(6.0)
    (20.0, 55.0)
    """
    lives = court_lives()
    neglected = lives["neglected"].size
    kept_up = (lives["kept_up_low"].size + lives["kept_up_high"].size) / 2
    protected = 0.0 if recoloured_every is None else min(1.0, lives["coat_protects"].size / recoloured_every)
    return round(1 / (protected / kept_up + (1 - protected) / neglected), 9)

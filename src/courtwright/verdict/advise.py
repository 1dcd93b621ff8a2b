"""Which option to advise, and why that one and not the others.

The advice is the open option of least reach that mends everything which must be mended and which no
rule calls uneconomic. Where an option of less reach would do the same but is undecided, nothing is
advised until it is settled: the measurement costs less than the mistake.
"""

from __future__ import annotations

from courtwright.says import Says, say
from courtwright.trade.judgement import options
from courtwright.verdict.defects import mended, shown
from courtwright.verdict.logic import Facts, value_of
from courtwright.verdict.records import Option
from courtwright.verdict.rules import hear

#: Options that cure nothing.
_NO_CURE = ("hold", "retire")


def advise(facts: Facts, offered: tuple[Option, ...]) -> tuple[str | None, tuple[Says, ...]]:
    """Return the id of the advised option, or None when too little is known, and why.

    Parameters
    ----------
    facts : mapping
        The pad's facts.
    offered : tuple of Option
        Every option of the pad, judged.
    """
    if value_of("crack_length", facts) is None:
        return None, (say("verdict.not-walked"),)
    must = {name for name, spec in shown(facts).items() if spec.must}
    if not must:
        return _upkeep(facts, offered)
    cures = [option for option in offered if option.id not in _NO_CURE and must <= mended(option.remedies)]
    worth = [option for option in cures if not _uneconomic(option, facts)]
    for option in worth:
        if option.state == "open if":
            return None, (say("verdict.settle-first", option=option.title, facts=_titles(option.settled_by)),)
        if option.state == "open":
            return option.id, (_why(option, must), *_why_not(option, offered, must, facts))
    return None, (say("verdict.no-cure-open"),)


def _upkeep(facts: Facts, offered: tuple[Option, ...]) -> tuple[str | None, tuple[Says, ...]]:
    """Return what to do with a pad that has nothing to cure."""
    resurface = next((option for option in offered if option.id == "resurface"), None)
    if shown(facts) and resurface is not None and resurface.state == "open":
        return "resurface", (say("verdict.only-colour"),)
    return "hold", (say("verdict.nothing-to-mend"),)


def _uneconomic(option: Option, facts: Facts) -> bool:
    return any(h.speaks and h.rule.effect == "advises-against" for h in hear(option.remedies, facts))


def _why(option: Option, must: set[str]) -> Says:
    return say("verdict.why", option=option.title, defects=_names(must))


def _why_not(chosen: Option, offered: tuple[Option, ...], must: set[str], facts: Facts) -> tuple[Says, ...]:
    """Return one sentence for each other option: ruled out, undecided, leaves something, or reaches further."""
    reach = {name: spec.tier for name, spec in options().items()}
    return tuple(
        _why_not_this(other, must, facts, further=reach[other.id] > reach[chosen.id])
        for other in offered
        if other.id != chosen.id and other.id != "retire"
    )


def _why_not_this(other: Option, must: set[str], facts: Facts, *, further: bool) -> Says:
    missing = must - mended(other.remedies)
    if other.state == "ruled out":
        return say("verdict.not-ruled-out", option=other.title, why=other.because[0].says)
    if missing:
        return say("verdict.not-leaves", option=other.title, defects=_names(missing))
    if _uneconomic(other, facts):
        return say("verdict.not-uneconomic", option=other.title)
    if other.state == "open if":
        return say("verdict.not-undecided", option=other.title, facts=_titles(other.settled_by))
    return say("verdict.not-further" if further else "verdict.not-chosen", option=other.title)


def _names(defects: set[str]) -> tuple[Says, ...]:
    return tuple(say(f"defects.{name}.title") for name in sorted(defects))


def _titles(facts: tuple[str, ...]) -> tuple[Says, ...]:
    return tuple(say(f"facts.{name}.title") for name in facts)

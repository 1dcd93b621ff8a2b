"""Which option to advise, and why that one and not the others.

The advice is the open option of least reach that mends everything which must be mended and which no
rule calls uneconomic. Where an option of less reach would do the same but is undecided, nothing is
advised until it is settled: the measurement costs less than the mistake.
"""

from __future__ import annotations

from courtwright.says import Says, say
from courtwright.trade.judgement import options
from courtwright.verdict.compose import plan_of
from courtwright.verdict.defects import doubtful, mended, shown
from courtwright.verdict.facts import overruled
from courtwright.verdict.logic import Facts, assertion, value_of
from courtwright.verdict.needs import meet
from courtwright.verdict.records import Option
from courtwright.verdict.rules import hear, state_of

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
    chosen, why = _cure(facts, offered, must) if must else _upkeep(facts, offered)
    doubt = unsettled(chosen, facts) if chosen else ()
    return (None, (say("verdict.measure-first", facts=_titles(doubt)),)) if doubt else (chosen, why)


def _cure(facts: Facts, offered: tuple[Option, ...], must: set[str]) -> tuple[str | None, tuple[Says, ...]]:
    """Return the least work that mends what must be mended, or what to find out first; deferral when nothing does."""
    cures = [option for option in offered if option.id not in _NO_CURE and must <= mended(option.remedies)]
    for option in sorted(cures, key=lambda option: _uneconomic(option, facts)):
        if option.state == "open if":
            return None, (_settle(option, option.settled_by),)
        if option.state == "open":
            return option.id, (_why(option, must), *_why_not(option, offered, must, facts))
    for option in cures:
        for flips in option.opens_if:
            if all(flip.value is None for flip in flips):
                return None, (_settle(option, tuple(flip.fact for flip in flips)),)
    return "hold", (say("verdict.no-cure-open"),)


def _settle(option: Option, facts: tuple[str, ...]) -> Says:
    return say("verdict.settle-first", option=option.title, facts=_titles(facts))


def unsettled(option: str, facts: Facts) -> tuple[str, ...]:
    """Return the facts, known in part, that may show something which the option would leave.

    Something was found and not fully measured: a heave without its height, cracks without their width. The
    advice stands only when the option would mend it too.

    Parameters
    ----------
    option : str
        The advised option's id.
    facts : mapping
        The pad's facts.
    """
    doubted: dict[str, None] = {}
    for name, conditions in doubtful(facts).items():
        worst = overruled(facts, {c.fact: meet(assertion(c)) for c in conditions})
        plan = plan_of(options()[option], worst)
        if name not in mended(plan) or state_of(hear(plan, worst)) == "ruled out":
            doubted |= dict.fromkeys(condition.fact for condition in conditions)
    return tuple(doubted)


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

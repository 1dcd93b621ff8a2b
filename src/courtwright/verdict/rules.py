"""Applies the remedies' rules to an option, in three-valued logic."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from courtwright.says import say
from courtwright.trade.judgement import Rule, remedies
from courtwright.verdict.logic import Facts, hold, holds
from courtwright.verdict.records import Because, State


@dataclass(frozen=True, slots=True)
class Heard:
    """One rule as it applies to one option: True when it speaks, None when an unknown fact leaves it open."""

    remedy: str
    rule: Rule
    speaks: bool | None

    @property
    def name(self) -> str:
        """The rule's name, unique among all remedies."""
        return f"{self.remedy}/{self.rule.id}"


def hear(plan: tuple[str, ...], facts: Facts) -> tuple[Heard, ...]:
    """Return every rule of the plan's remedies as it applies."""
    specs = remedies()
    return tuple(Heard(remedy, rule, _speaks(rule, plan, facts)) for remedy in plan for rule in specs[remedy].rule)


def _speaks(rule: Rule, plan: tuple[str, ...], facts: Facts) -> bool | None:
    """Return whether a rule speaks; what would lift it counts only when it is known to hold."""
    if set(rule.unless_remedy) & set(plan):
        return False
    if rule.unless and hold(rule.unless, facts) is True:
        return False
    return hold(rule.when, facts)


def blockers(heard: Iterable[Heard]) -> tuple[Heard, ...]:
    """Return the rules that keep an option from being open: those that rule it out, and those that nobody can tell."""
    return tuple(h for h in heard if h.rule.effect == "rules-out" and _blocks(h))


def _blocks(heard: Heard) -> bool:
    return heard.speaks is True or (heard.speaks is None and heard.rule.unknown == "blocks")


def state_of(heard: Iterable[Heard]) -> State:
    """Return whether an option is open, ruled out, or open if something nobody knows turns out well."""
    blocking = blockers(heard)
    if any(h.speaks for h in blocking):
        return "ruled out"
    return "open if" if blocking else "open"


def settled_by(heard: Iterable[Heard], facts: Facts) -> tuple[str, ...]:
    """Return the unknown facts that keep an option undecided, each once."""
    unknown = (
        condition.fact
        for h in blockers(heard)
        if h.speaks is None
        for condition in h.rule.when
        if holds(condition, facts) is None
    )
    return tuple(dict.fromkeys(unknown))


def reasons(heard: tuple[Heard, ...], state: State) -> tuple[Because, ...]:
    """Return why an option stands as it does, what rules it out first; never empty."""
    blocking = set(blockers(heard))
    found = [_because(h, blocking) for h in heard if h in blocking and h.speaks is True]
    found += [_because(h, blocking) for h in heard if h in blocking and h.speaks is None]
    found += [_because(h, blocking) for h in heard if h.speaks is True and h not in blocking]
    if not found or (state == "open" and all(b.effect != "for" for b in found)):
        nothing = Because("nothing-against", say("verdict.nothing-against"), "derived", "for")
        found = [nothing, *found]
    return tuple(dict.fromkeys(found))


_EFFECTS = {"rules-out": "rules out", "advises-against": "note", "speaks-for": "for", "note": "note"}


def _because(heard: Heard, blocking: set[Heard]) -> Because:
    rule = heard.rule
    if heard in blocking and heard.speaks is None:
        unknown = say("verdict.undecided", rule=say(rule.text))
        return Because(heard.name, unknown, rule.source, "unknown")
    return Because(heard.name, say(rule.text), rule.source, _EFFECTS[rule.effect])  # pyright: ignore[reportArgumentType]  # a Literal by construction

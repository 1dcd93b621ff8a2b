"""The verdict: from record and reading to findings, causes, options and advice."""

from __future__ import annotations

from dataclasses import replace

from courtwright.ground.reading import PadReading
from courtwright.says import Says, say
from courtwright.site.record import Pad
from courtwright.trade.judgement import remedies
from courtwright.verdict.advise import advise
from courtwright.verdict.causes import causes_of
from courtwright.verdict.compose import compose
from courtwright.verdict.condition import condition_index
from courtwright.verdict.defects import left
from courtwright.verdict.distresses import distresses_of
from courtwright.verdict.facts import facts_of, places_of
from courtwright.verdict.facts.walked import was_walked
from courtwright.verdict.findings import find
from courtwright.verdict.flips import opens_if
from courtwright.verdict.logic import Facts, any_holds, hold, holds
from courtwright.verdict.measure import measure_next
from courtwright.verdict.records import ConditionIndex, Option, PadVerdict
from courtwright.verdict.rules import Heard, hear, reasons, settled_by, state_of

#: The remedies of which each is in an option or told of as not considered; the rest only go along.
CHOICES: tuple[str, ...] = (
    "cosmetic-fill",
    "rout-and-seal",
    "membrane-repair",
    "replace-membrane",
    "full-depth-patch",
    "grind-heave",
    "root-barrier",
    "lower-side",
    "swale",
    "resurface",
    "level-low-spots",
    "mat-system",
    "overlay",
    "mill-and-overlay",
    "pulverise-and-pave",
    "full-depth-replacement",
    "concrete-over",
    "retire",
)


def judge_pad(pad: Pad, reading: PadReading, year: int | None) -> PadVerdict:
    """Return the verdict on one pad; ``year`` is that of the walk. [-]."""
    facts = facts_of(pad, reading, year)
    plans = compose(facts)
    heard = {name: hear(plan, facts) for name, plan in plans.items()}
    offered = tuple(_option(name, plan, heard[name], facts) for name, plan in plans.items())
    recommended, advice = advise(facts, offered)
    index = _index(pad, reading)
    return PadVerdict(
        id=pad.id,
        facts=facts,
        findings=tuple(replace(one, at=places_of(one.facts, facts, pad, reading)) for one in find(facts)),
        condition_index=index,
        causes=causes_of(facts),
        options=offered,
        not_considered=_not_considered(plans, facts),
        recommended=recommended,
        advice=advice,
        measure_next=measure_next(heard, facts),
        from_memory=index.from_memory if index else (),
    )


def _option(name: str, plan: tuple[str, ...], heard: tuple[Heard, ...], facts: Facts) -> Option:
    state = state_of(heard)
    return Option(
        id=name,
        title=say(f"options.{name}.title"),
        remedies=plan,
        state=state,
        because=reasons(heard, state),
        opens_if=opens_if(name, facts),
        settled_by=settled_by(heard, facts),
        does_not_mend=tuple(say(f"defects.{defect}.leaves") for defect in left(plan, facts)),
    )


def _not_considered(plans: dict[str, tuple[str, ...]], facts: Facts) -> tuple[tuple[str, Says], ...]:
    """Return each remedy that no option holds, with the rule that speaks against it or what it would be for."""
    used = {remedy for plan in plans.values() for remedy in plan}
    return tuple((remedy, _why_not(remedy, facts)) for remedy in CHOICES if remedy not in used)


def _why_not(remedy: str, facts: Facts) -> Says:
    """Return the rule that speaks against a remedy; else what nobody looked at; else that nothing calls for it."""
    spec = remedies()[remedy]
    for heard in hear((remedy,), facts):
        if heard.rule.effect == "rules-out" and heard.speaks:
            return say(heard.rule.text)
    calling = [rule for rule in spec.rule if rule.effect == "speaks-for"]
    called = any_holds(hold(rule.when, facts) for rule in calling)
    # What is called for and yet in no option waits for the facts of the rules that would rule it out.
    waiting = calling if called is not True else [rule for rule in spec.rule if rule.unknown == "blocks"]
    unknown = dict.fromkeys(c.fact for rule in waiting for c in rule.when if holds(c, facts) is None)
    if unknown:
        return say("verdict.not-looked-at", facts=tuple(say(f"facts.{fact}.title") for fact in unknown))
    return say(f"remedies.{remedy}.not_considered") if spec.not_considered else say("verdict.not-called-for")


def _index(pad: Pad, reading: PadReading) -> ConditionIndex | None:
    """Return the condition index of an asphalt pad that was walked; the standard's curves are for asphalt."""
    if not was_walked(pad) or pad.surface not in (None, "asphalt"):
        return None
    return condition_index(distresses_of(pad, reading), reading.area)

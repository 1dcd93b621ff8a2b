"""The rules of the trade as data: conditions on facts, remedies, options, defects, causes, findings.

A condition names a fact and a limit, and is written in trade notation (``above = "1/4 in"``); it is
turned into SI once, here. Rules hold no expressions: a list of conditions all of which must hold,
and what is concluded.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from courtwright import units
from courtwright.errors import TradeDataError
from courtwright.says import say
from courtwright.trade import tables
from courtwright.trade.load import check_source, facts
from courtwright.trade.records import FactKind, Worded


@dataclass(frozen=True, slots=True)
class Condition:
    """A claim about one fact. Exactly one of the limits is given, in base SI.

    Parameters
    ----------
    fact : str
        The fact's name.
    above, at_least, below, at_most : float or None
        The fact's number lies on that side of the limit. [SI of the fact]
    equals : bool or str or None
        The fact is this claim or word.
    one_of : tuple of str
        The fact is one of these words.
    """

    fact: str
    above: float | None = None
    at_least: float | None = None
    below: float | None = None
    at_most: float | None = None
    equals: Any = None
    one_of: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rule:
    """What facts say about a remedy.

    Parameters
    ----------
    id : str
        Unique within the remedy.
    when : tuple of Condition
        All must hold.
    effect : {"rules-out", "advises-against", "speaks-for", "note"}
        What follows.
    because : Worded
        Why, in words that reach the offer.
    source : str
        Where the rule comes from.
    unless_remedy : tuple of str
        Remedies whose presence in the option lifts the rule.
    unless : tuple of Condition
        Facts that lift the rule; all must be known to hold.
    unknown : {"asks", "blocks"}
        What an unknown fact does: it is asked about, or the option stays undecided until it is known.
    text : str
        Id of ``because`` among the texts; filled in by the loader.
    """

    id: str
    when: tuple[Condition, ...]
    effect: Literal["rules-out", "advises-against", "speaks-for", "note"]
    because: Worded
    source: str
    unless_remedy: tuple[str, ...] = ()
    unless: tuple[Condition, ...] = ()
    unknown: Literal["asks", "blocks"] = "asks"
    text: str = ""


@dataclass(frozen=True, slots=True)
class RemedySpec:
    """One treatment: what it mends and the rules that open or close it.

    ``share_rules`` names rule files of ``rules/`` that several remedies share; ``begins_anew`` tells that the pad is
    built again, from the ground, its base or over itself, and not mended.
    """

    title: Worded
    mends: tuple[str, ...]
    begins_anew: bool = False
    rule: tuple[Rule, ...] = ()
    share_rules: tuple[str, ...] = ()
    not_considered: Worded | None = None


@dataclass(frozen=True, slots=True)
class SharedRules:
    """Rules that several remedies share."""

    rule: tuple[Rule, ...]


@dataclass(frozen=True, slots=True)
class Alternative:
    """Conditions that together show something."""

    when: tuple[Condition, ...]


@dataclass(frozen=True, slots=True)
class Companion:
    """A remedy that joins an option: when ``when`` is known to hold, or any of ``any``.

    One known to be in ``unless`` keeps it out. A core remedy joins unless it is known not to be called for.
    """

    remedy: str
    when: tuple[Condition, ...] = ()
    any: tuple[Alternative, ...] = ()
    unless: tuple[Condition, ...] = ()


@dataclass(frozen=True, slots=True)
class OptionSpec:
    """A plan of remedies, in the order of the work.

    Parameters
    ----------
    title : Worded
        As the customer reads it.
    tier : int
        Order of reach: the lowest tier that mends what must be mended is advised.
    core : tuple of str
        The remedies that make the option what it is.
    plan : tuple of Companion
        All remedies in order; those of ``core`` stand among them without conditions.
    only_when : tuple of Alternative
        The option is left out when all of these are known not to hold.
    """

    title: Worded
    tier: int
    core: tuple[str, ...]
    plan: tuple[Companion, ...]
    only_when: tuple[Alternative, ...] = ()


@dataclass(frozen=True, slots=True)
class DefectSpec:
    """Something to mend: shown when any alternative holds.

    ``must`` tells that an option which leaves it is no cure; ``leaves`` is what is said of such an option.
    """

    title: Worded
    must: bool
    shown: tuple[Alternative, ...]
    leaves: Worded
    source: str


@dataclass(frozen=True, slots=True)
class Evidence:
    """One piece of evidence for or against a cause; weight 0 to 1. [-]"""

    id: str
    when: tuple[Condition, ...]
    weight: float
    says: Worded


@dataclass(frozen=True, slots=True)
class CauseSpec:
    """What may have produced the findings. ``speaks_for`` and ``speaks_against`` are weighed."""

    title: Worded
    source: str
    speaks_for: tuple[Evidence, ...]
    speaks_against: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class FindingSpec:
    """A plain statement and the facts it rests on; ``says`` may print those facts.

    ``says_less`` is said where one of the facts is not known as a number between two ends.
    """

    when: tuple[Condition, ...]
    facts: tuple[str, ...]
    says: Worded
    says_less: Worded | None = None


@functools.cache
def remedies() -> Mapping[str, RemedySpec]:
    """Return every remedy by id, shared rules first."""
    shared = {name: _texted(spec.rule, f"rules.{name}") for name, spec in _files(SharedRules, "rules")}
    found: dict[str, RemedySpec] = {}
    for name, spec in _files(RemedySpec, "remedies"):
        common = tuple(rule for group in spec.share_rules for rule in shared[group])
        found[name] = replace(spec, rule=common + _texted(spec.rule, f"remedies.{name}"))
    return found


def _texted(rules: tuple[Rule, ...], path: str) -> tuple[Rule, ...]:
    return tuple(replace(rule, text=f"{path}.rule.{rule.id}.because") for rule in rules)


@functools.cache
def options() -> Mapping[str, OptionSpec]:
    """Return every option by id, lowest tier first."""
    found = sorted(_files(OptionSpec, "options"), key=lambda item: item[1].tier)
    return dict(found)


@functools.cache
def defects() -> Mapping[str, DefectSpec]:
    """Return every defect by id."""
    return dict(_files(DefectSpec, "defects"))


@functools.cache
def causes() -> Mapping[str, CauseSpec]:
    """Return every cause by id."""
    return dict(_files(CauseSpec, "causes"))


@functools.cache
def findings() -> Mapping[str, FindingSpec]:
    """Return every finding by id, in the order in which they are told."""
    file = tables.named("findings.toml")
    table = tables.load_toml(file)
    return {name: _read(FindingSpec, entry, f"findings.toml, {name}") for name, entry in table.items()}


def _files(kind: type[tables.T], folder: str) -> Iterator[tuple[str, tables.T]]:
    for file in tables.folder(folder):
        yield file.name.removesuffix(".toml"), _read(kind, tables.load_toml(file), f"{folder}/{file.name}")


def _read(kind: type[tables.T], table: Mapping[str, Any], where: str) -> tables.T:
    """Return the record with every condition in SI and every source listed."""
    return tables.record(kind, _in_si(table, where), where)


def _in_si(table: Any, where: str) -> Any:
    if isinstance(table, list):
        return [_in_si(item, where) for item in table]
    if not isinstance(table, dict):
        return table
    if isinstance(table.get("source"), str):
        check_source(table["source"], where)
    if "fact" in table:
        return _condition(table, where)
    return {key: _in_si(value, where) for key, value in table.items()}


def _condition(table: Mapping[str, Any], where: str) -> dict[str, Any]:
    spec = facts().get(table["fact"])
    if spec is None:
        raise TradeDataError(say("trade.unknown-fact", fact=table["fact"]), where=where)
    limits = {"above", "at_least", "below", "at_most"} & set(table)
    return {**table, **{key: _limit(table[key], spec.kind) for key in limits}}


def _limit(given: Any, kind: FactKind) -> float:
    """Return a limit in SI, at the six digits in which it is told; a number is SI already."""
    limit = units.parse_quantity(given, kind) if isinstance(given, str) else float(given)
    return float(f"{limit:.6g}")

"""The trade's data, read once and kept: one function per kind of file."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import fields, replace
from importlib.resources import files
from typing import Any, get_args

from courtwright.errors import TradeDataError
from courtwright.says import say
from courtwright.trade import curve_files, per, tables, unit_keys
from courtwright.trade.condition_records import DeductCurves, DistressSpec, RatingBand
from courtwright.trade.court_records import CourtSpec
from courtwright.trade.rate_records import CostLine, RateBook, RateLine
from courtwright.trade.records import Amount, FactSpec, Limit, MarkKind, Source, Tolerances
from courtwright.trade.scope_records import AllowanceSpec, LimitName, MaterialSpec, ScopeSpec, StepSpec


@functools.cache
def sources() -> Mapping[str, Source]:
    """Return every source that a value of the trade may name, by key."""
    file = tables.named("sources.toml")
    return {key: tables.record(Source, entry, f"sources.toml, {key}") for key, entry in tables.load_toml(file).items()}


def check_source(source: str, where: str) -> None:
    """Refuse a source that ``sources.toml`` does not list.

    Raises
    ------
    TradeDataError
        If the key before the first comma is not listed.
    """
    key = source.split(", ")[0]
    if key not in sources():
        raise TradeDataError(say("trade.unknown-source", source=source), where=where)


@functools.cache
def facts() -> Mapping[str, FactSpec]:
    """Return every fact that a verdict may rest on, by the name that ``[answers]`` takes."""
    found: dict[str, FactSpec] = {}
    for file in tables.folder("facts"):
        for name, entry in tables.load_toml(file).items():
            where = f"facts/{file.name}, {name}"
            found[name] = tables.record(FactSpec, entry, where)
            check_source(found[name].source, where)
    return found


def amount_in_si(amount: Amount, where: str) -> Amount:
    """Return an amount in SI, its source checked.

    Raises
    ------
    TradeDataError
        If its unit or its source is not known.
    """
    check_source(amount.source, where)
    unit, size = _size(amount.unit, where)
    return replace(amount, unit=unit, size=amount.size * size, sd=amount.sd * size)


def _size(unit: str, where: str) -> tuple[str, float]:
    if unit not in per.SIZES:
        raise TradeDataError(say("trade.not-one-of", value=unit, known=", ".join(per.SIZES)), where=where)
    return per.SIZES[unit]


def _rate_in_si(line: RateLine, where: str) -> RateLine:
    check_source(line.source, where)
    if not 0 <= line.low <= line.likely <= line.high:
        raise TradeDataError(say("trade.not-in-order", low=line.low, likely=line.likely, high=line.high), where=where)
    unit, size = _size(line.per, where)
    likely_for = {customer: likely / size for customer, likely in line.likely_for.items()}
    return replace(
        line, per=unit, low=line.low / size, likely=line.likely / size, high=line.high / size, likely_for=likely_for
    )


def _cost_in_si(line: CostLine, where: str) -> CostLine:
    check_source(line.source, where)
    unit, size = _size(line.per, where)
    return replace(line, per=unit, cost=line.cost / size)


@functools.cache
def rates(name: str = "us-illustrative") -> RateBook:
    """Return the house rates of one file of ``trade/rates``, in SI."""
    return rates_in_si(written_rates(name))


@functools.cache
def written_rates(name: str = "us-illustrative") -> RateBook:
    """Return the house rates of one file of ``trade/rates`` in the units of the trade, as they stand in it."""
    file = next((f for f in tables.folder("rates") if f.name == f"{name}.toml"), None)
    if file is None:
        known = ", ".join(f.name.removesuffix(".toml") for f in tables.folder("rates"))
        raise TradeDataError(say("trade.not-one-of", value=name, known=known), where="rates")
    return replace(tables.record(RateBook, tables.load_toml(file), f"rates/{file.name}"), id=name)


def rates_in_si(book: RateBook) -> RateBook:
    """Return a book of house rates that is written in the units of the trade, in SI.

    Raises
    ------
    TradeDataError
        If a source, a unit or the order of a figure is wrong.
    """
    where = f"rates/{book.id}.toml"
    check_source(book.source, where)
    for quote in book.quotes:
        check_source(quote.source, f"{where}, quotes, {quote.who.en}")
    amounts = {
        f.name: amount_in_si(value, f"{where}, {f.name}")
        for f in fields(book)
        if isinstance(value := getattr(book, f.name), Amount)
    }
    return replace(
        book,
        **amounts,
        spread={key: amount_in_si(amount, f"{where}, spread.{key}") for key, amount in book.spread.items()},
        upkeep={key: amount_in_si(amount, f"{where}, upkeep.{key}") for key, amount in book.upkeep.items()},
        wage_premium=_rate_in_si(book.wage_premium, f"{where}, wage_premium"),
        mobilisation={
            key: _rate_in_si(line, f"{where}, mobilisation.{key}") for key, line in book.mobilisation.items()
        },
        minimum={key: _rate_in_si(line, f"{where}, minimum.{key}") for key, line in book.minimum.items()},
        lines={key: _rate_in_si(line, f"{where}, lines.{key}") for key, line in book.lines.items()},
        costs={key: _cost_in_si(line, f"{where}, costs.{key}") for key, line in book.costs.items()},
    )


def _step_in_si(step: StepSpec, where: str) -> StepSpec:
    check_source(step.source, where)
    unit, size = _size(step.per, where)
    return replace(step, per=unit, low=step.low * size, likely=step.likely * size, high=step.high * size)


def _allowance_in_si(spec: AllowanceSpec, where: str) -> AllowanceSpec:
    check_source(spec.source, where)
    unit, size = _size(spec.per, where)
    extent_unit, extent = _size(spec.extent_per, where)
    states = tuple(
        replace(state, low=state.low * extent, likely=state.likely * extent, high=state.high * extent)
        for state in spec.states
    )
    return replace(spec, per=unit, piece=spec.piece * size, extent_per=extent_unit, states=states)


@functools.cache
def scopes() -> Mapping[str, ScopeSpec]:
    """Return the work of every remedy, by remedy id, in SI; ``hold`` is the option of that name."""
    found: dict[str, ScopeSpec] = {}
    for file in tables.folder("scopes"):
        remedy, where = file.name.removesuffix(".toml"), f"scopes/{file.name}"
        spec = tables.record(ScopeSpec, tables.load_toml(file), where)
        for source in (spec.source, spec.warranty_source, *(s.source for s in spec.shortened)):
            check_source(source, where)
        if spec.life is not None:
            check_source(spec.life.source, f"{where}, life")
        found[remedy] = replace(
            spec,
            values={key: amount_in_si(value, f"{where}, values.{key}") for key, value in spec.values.items()},
            steps=tuple(_step_in_si(step, f"{where}, steps.{step.id}") for step in spec.steps),
            allowances=tuple(_allowance_in_si(a, f"{where}, allowances.{a.item}") for a in spec.allowances),
        )
    return found


@functools.cache
def materials() -> Mapping[str, MaterialSpec]:
    """Return every material by id, its limits in SI."""
    found: dict[str, MaterialSpec] = {}
    for file in tables.folder("materials"):
        where = f"materials/{file.name}"
        spec = tables.record(MaterialSpec, tables.load_toml(file), where)
        check_source(spec.source, where)
        for name in spec.limits:
            if name not in get_args(LimitName):
                known = ", ".join(get_args(LimitName))
                raise TradeDataError(say("trade.not-one-of", value=name, known=known), where=where)
        limits = {name: amount_in_si(amount, f"{where}, {name}") for name, amount in spec.limits.items()}
        found[file.name.removesuffix(".toml")] = replace(spec, limits=limits)
    return found


@functools.cache
def takeoff() -> Mapping[str, Amount]:
    """Return what quantities are taken to be where the record does not say, in SI."""
    return _amounts("takeoff.toml")


@functools.cache
def court_lives() -> Mapping[str, Amount]:
    """Return the lives of a court kept up and neglected, in years."""
    return _amounts("lives.toml")


def _amounts(name: str) -> Mapping[str, Amount]:
    file = tables.named(name)
    return {
        key: amount_in_si(tables.record(Amount, entry, f"{name}, {key}"), f"{name}, {key}")
        for key, entry in tables.load_toml(file).items()
    }


@functools.cache
def tolerances() -> Tolerances:
    """Return by what the ground is judged, in base SI.

    Raises
    ------
    TradeDataError
        If a limit is missing, unknown, without a unit or without a source.
    """
    file = tables.named("tolerances.toml")
    values: dict[str, Any] = {}
    found_in: dict[str, str] = {}
    for name, entry in tables.load_toml(file).items():
        where = f"tolerances.toml, {name}"
        entry_in_si = unit_keys.in_si(entry, where)
        limit = tables.record(Limit, entry_in_si, where)
        check_source(limit.source, where)
        values[name], found_in[name] = entry_in_si["value"], limit.source
    return tables.record(Tolerances, {**values, "sources": found_in}, "tolerances.toml")


@functools.cache
def mark_kinds() -> Mapping[str, MarkKind]:
    """Return every kind of mark by the name that files give it.

    Raises
    ------
    TradeDataError
        If a kind is malformed, or a source is missing or unknown.
    """
    found: dict[str, MarkKind] = {}
    for file in tables.folder("marks"):
        where = f"marks/{file.name}"
        table = tables.load_toml(file)
        specs = {name: unit_keys.in_si(spec, f"{where}, {name}") for name, spec in table.get("properties", {}).items()}
        kind = tables.record(MarkKind, {**table, "properties": specs}, where)
        limited = (p.source for p in kind.properties.values() if p.impossible_over)
        quick = (p.quick.source for p in kind.properties.values() if p.quick)
        for source in (kind.source, *limited, *quick):
            check_source(source, where)
        found[file.name.removesuffix(".toml")] = kind
    return found


@functools.cache
def courts() -> Mapping[str, CourtSpec]:
    """Return the lines of every sport, by its id (the name of its file)."""
    found: dict[str, CourtSpec] = {}
    for file in tables.folder("courts"):
        where = f"courts/{file.name}"
        table = unit_keys.in_si(tables.load_toml(file), where)
        check_sources(table, where)
        for line in (*table.get("lines", ()), *table.get("arcs", ())):
            line.setdefault("width", table.get("line_width"))
        sport = file.name.removesuffix(".toml")
        found[sport] = tables.record(CourtSpec, {**table, "id": sport}, where)
    return found


def check_sources(table: Mapping[str, Any], where: str) -> None:
    """Check every ``source`` within a table against ``sources.toml``.

    Raises
    ------
    TradeDataError
        If ``sources.toml`` does not list one.
    """
    for key, value in table.items():
        if key == "source" or key.endswith("_source"):
            check_source(value, where)
        for item in value if isinstance(value, list) else [value]:
            if isinstance(item, dict):
                check_sources(item, f"{where}, {key}")


@functools.cache
def distresses() -> Mapping[int, DistressSpec]:
    """Return the distresses of the condition index, by the standard's number."""
    file = tables.named("distresses.toml")
    found: dict[int, DistressSpec] = {}
    for name, entry in tables.load_toml(file).items():
        if isinstance(entry, dict):
            where = f"distresses.toml, {name}"
            table = unit_keys.in_si(entry, where, plain=("number", "counted_as"))
            check_sources(table, where)
            spec = tables.record(DistressSpec, table, where)
            found[spec.number] = spec
    return found


@functools.cache
def deduct_curves() -> DeductCurves:
    """Return the deduct curves and the corrected-deduct curves of the condition index."""
    there = files("courtwright.trade").joinpath("curves")
    deduct_head, deduct = curve_files.deduct_curves_in(there.joinpath("deduct.csv"))
    corrected_head, corrected = curve_files.corrected_curves_in(there.joinpath("corrected_deduct.csv"))
    for head in (deduct_head, corrected_head):
        check_source(head.source, head.title)
    return DeductCurves(deduct, corrected)


@functools.cache
def rating_bands() -> tuple[RatingBand, ...]:
    """Return the ratings of the condition index, best first."""
    (file,) = (f for f in tables.folder("curves") if f.name == "ratings.toml")
    bands: list[RatingBand] = []
    for id, entry in tables.load_toml(file).items():
        where = f"curves/ratings.toml, {id}"
        check_sources(entry, where)
        bands.append(tables.record(RatingBand, {**entry, "id": id}, where))
    return tuple(sorted(bands, key=lambda band: -band.least))

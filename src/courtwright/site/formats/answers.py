"""Reads ``[answers]``: facts by name, in the words and units of the people who were asked."""

from __future__ import annotations

import math
import re

from courtwright import units
from courtwright.errors import QuantityError
from courtwright.measured import Span
from courtwright.says import say
from courtwright.site.complaints import short, suggestion
from courtwright.site.formats.fields import Fields, is_unknown
from courtwright.site.record import Answer, FactValue
from courtwright.trade.load import facts
from courtwright.trade.records import FactSpec

_COMPARED = re.compile(r"(?P<sign><=|>=|<|>|==?|≤|≥)\s*(?P<rest>.+)", re.DOTALL)
_PLAIN = re.compile(r"[+-]?(\d++(\.\d*+)?|\.\d++)(e[+-]?\d++)?", re.IGNORECASE)
_SAME = {"≤": "<=", "≥": ">=", "==": "="}
#: A fact is numbered by a kind of `units.parse_quantity`.
_KINDS = {"small": "length"}


def read_answers(fields: Fields) -> dict[str, FactValue]:
    """Return the answers of one table by fact, and complain of what answers no fact or cannot be read."""
    known = facts()
    found: dict[str, FactValue] = {}
    for name, given in fields.table.items():
        plain = name.strip().lower().replace("-", "_")
        if plain not in known:
            fields.complaints.error(
                fields.file, fields.place(name), "unknown-fact", do=suggestion(name, known), fact=short(name)
            )
        elif is_unknown(given):
            found[plain] = None
        else:
            value = _value(fields, name, known[plain])
            if value is not None:
                found[plain] = value
    return found


def merged(site: dict[str, FactValue], pad: dict[str, FactValue]) -> tuple[Answer, ...]:
    """Return the answers that hold for one pad: its own, and the site's where it has none, in the order of the facts.

    Examples
    --------
    >>> [a.value for a in merged({"coated": True}, {"coated": None})]
    [None]
    """
    values = {**site, **pad}
    return tuple(Answer(name, values[name]) for name in facts() if name in values)


def _value(fields: Fields, name: str, spec: FactSpec) -> FactValue:
    given = fields.table[name]
    compared = _COMPARED.fullmatch(given.strip()) if isinstance(given, str) else None
    if spec.kind in ("claim", "word"):
        if compared and compared["sign"] in ("=", "=="):
            table = {**fields.table, name: compared["rest"].strip()}
            fields = Fields(table, fields.file, fields.at, fields.complaints, fields.system)
        return fields.claim(name) if spec.kind == "claim" else fields.word(name, spec.words)
    try:
        if compared:
            return _span(_SAME.get(compared["sign"], compared["sign"]), _si(compared["rest"], spec, fields.system))
        return Span.exactly(units.parse_quantity(given, _KINDS.get(spec.kind, spec.kind), fields.system))
    except QuantityError as error:
        fields.complaints.add(
            "error", fields.file, fields.place(name), "quantity", error.problem, error.fix or say("site.measure-again")
        )
        return None


def _si(text: str, spec: FactSpec, system: units.UnitSystem) -> float:
    """Return what stands after an operator: a bare number is SI already, anything else has its unit."""
    kind = _KINDS.get(spec.kind, spec.kind)
    if _PLAIN.fullmatch(text.strip()):
        return units.parse_quantity(float(text), kind, "metric")
    return units.parse_quantity(text, kind, system)


def _span(sign: str, value: float) -> Span:
    """Return the numbers for which "is ``sign`` ``value``" holds.

    Examples
    --------
    >>> _span("<=", 0.1), _span(">", 3.0).is_above(3.0), _span("<", 3.0).is_at_least(3.0)
    (Span(low=-inf, high=0.1), True, False)
    """
    match sign:
        case "<=":
            return Span(-math.inf, value)
        case "<":
            return Span(-math.inf, math.nextafter(value, -math.inf))
        case ">=":
            return Span(value, math.inf)
        case ">":
            return Span(math.nextafter(value, math.inf), math.inf)
        case _:
            return Span.exactly(value)

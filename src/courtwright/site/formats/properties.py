"""Reads what is written of a mark or a tally, by the kinds of ``trade/marks``."""

from __future__ import annotations

from collections.abc import Collection

from courtwright import units
from courtwright.says import say
from courtwright.site.complaints import nearest, short, suggestion
from courtwright.site.formats.fields import Fields
from courtwright.trade.records import MarkKind, MarkProperty

_LENGTHS = ("length", "small", "claim_or_small")


def properties_of(fields: Fields, kind: MarkKind, others: Collection[str]) -> dict[str, object]:
    """Return the properties of one mark that are known, in SI.

    Parameters
    ----------
    fields : Fields
        The table as given.
    kind : MarkKind
        Which properties there are.
    others : collection of str
        Keys that are read elsewhere.

    Returns
    -------
    dict
        By name: metres, hours, years, degrees, counts, words and claims. What is unknown is left out.
    """
    found: dict[str, object] = {}
    for name in fields.table:
        if name in kind.properties:
            value = _value(fields, name, kind.properties[name])
            if value is not None:
                found[name] = value
        elif name not in others:
            _complain_of_key(fields, name, (*kind.properties, "mark", "pad"))
    return found


def _complain_of_key(fields: Fields, name: str, known: Collection[str]) -> None:
    """Complain of a key: one like a known one was meant to be read, any other may be some program's own."""
    tell = fields.complaints.error if nearest(name, known, 0.7) else fields.complaints.note
    tell(fields.file, fields.place(name), "unknown-key", do=suggestion(name, known), key=short(name))


def _value(fields: Fields, name: str, spec: MarkProperty) -> object:
    match spec.kind:
        case "word":
            return fields.word(name, spec.words)
        case "text":
            return fields.text(name)
        case "claim":
            return fields.claim(name)
        case "claim_or_small":
            given = fields.table[name]
            is_length = not isinstance(given, bool) and any(ch.isdigit() for ch in str(given))
            return _length(fields, name, spec) if is_length else fields.claim(name)
        case "count":
            count = fields.quantity(name, "count")
            return None if count is None else round(count)
        case "degrees":
            return fields.number(name, -180, 180)
        case "length" | "small":
            return _length(fields, name, spec)
        case _:
            return fields.quantity(name, spec.kind)


def _length(fields: Fields, name: str, spec: MarkProperty) -> float | None:
    """Return a length, unless it is impossible; a bare number that is doubtful is asked about."""
    value, given = fields.quantity(name, "length"), fields.table[name]
    if value is None:
        return None
    is_bare = not isinstance(given, str)
    meant = say("site.did-you-mean", near=f"{given} {'in' if fields.system == 'us' else 'mm'}")
    do = meant if is_bare else say("site.measure-again")
    if spec.impossible_over is not None and value > spec.impossible_over:
        fields.complaints.error(
            fields.file, fields.place(name), "impossible-length", do=do, key=name, given=short(given), length=value
        )
        return None
    if is_bare and spec.doubtful_over is not None and value >= spec.doubtful_over - units.INCH / 1000:
        fields.complaints.note(
            fields.file, fields.place(name), "doubtful-length", do=do, key=name, given=short(given), length=value
        )
    return value

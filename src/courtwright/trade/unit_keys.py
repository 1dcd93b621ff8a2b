"""Reads units off the ends of keys: ``length_ft = 78`` becomes ``length = 23.7744``, in base SI.

The trade's TOML files give a length in the unit of its source, named at the end of the key. A number
whose key names no unit, and a value given in two units, are refused.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from decimal import Decimal
from typing import Any

from courtwright.errors import TradeDataError
from courtwright.says import say

_SI = {
    "ft": Decimal("0.3048"),
    "in": Decimal("0.0254"),
    "m": Decimal(1),
    "mm": Decimal("0.001"),
    "pct": Decimal("0.01"),
    "deg": Decimal(math.pi) / 180,
    "hour": Decimal(3600),
    "year": Decimal(1),
}


def in_si(table: Mapping[str, Any], where: str, plain: Collection[str] = ()) -> dict[str, Any]:
    """Return ``table`` with its quantities in base SI and their keys without the unit.

    Parameters
    ----------
    table : mapping
        What a TOML file holds; tables within are read the same way.
    where : str
        File and place, for complaints.
    plain : collection of str
        Keys whose numbers have no unit (a number by which something is known).

    Returns
    -------
    dict
        The same table, quantities as exact decimals in base SI.

    Raises
    ------
    TradeDataError
        If a number's key names no unit, or the same value is given in two units.

    Examples
    --------
    >>> in_si({"length_ft": 78, "start_in": [0, 4]}, "tennis.toml")
    {'length': Decimal('23.7744'), 'start': [Decimal('0.0000'), Decimal('0.1016')]}
    """
    found: dict[str, Any] = {}
    for key, value in table.items():
        name, unit = _name_and_unit(key)
        if _is_number(value) and unit is None and key not in plain:
            raise TradeDataError(say("courts.no-unit", key=key, value=str(value), known=", ".join(_SI)), where=where)
        if name in found:
            raise TradeDataError(say("courts.two-units", key=name), where=where)
        found[name] = _value(value, unit, f"{where}, {key}", plain)
    return found


def _name_and_unit(key: str) -> tuple[str, str | None]:
    name, _, unit = key.rpartition("_")
    return (name, unit) if name and unit in _SI else (key, None)


def _is_number(value: Any) -> bool:
    if isinstance(value, list):
        return any(_is_number(item) for item in value)
    return isinstance(value, int | Decimal) and not isinstance(value, bool)


def _value(value: Any, unit: str | None, where: str, plain: Collection[str]) -> Any:
    if isinstance(value, dict):
        return in_si(value, where, plain)
    if isinstance(value, list):
        return [_value(item, unit, f"{where}[{i}]", plain) for i, item in enumerate(value)]
    return value * _SI[unit] if unit and _is_number(value) else value

"""The company's own rates: kept as it was seen, told beside the book's, read from a file without keeping anything."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.errors import StaleError
from courtwright.job.house_rates import RateTold, own_value, rates_told, rates_without_use, usual_rate
from courtwright.job.rates_csv import RowRead, read_rates
from courtwright.says import say
from courtwright.store.rows.changes import Change
from courtwright.store.rows.house_rates import HOUSE_RATES, KeptHouseRates
from courtwright.store.unit import Unit
from courtwright.trade.house_rates import HouseRate, HouseRates
from courtwright.trade.load import rates as book


@dataclass(frozen=True, slots=True)
class RateTyped:
    """An own rate as somebody typed it.

    Parameters
    ----------
    value : str
        With a decimal point or comma.
    unit : str
        For how much it is; empty for the rate's own unit.
    date : date
        The day from which it counts.
    note : str
        Where it comes from.
    """

    value: str
    unit: str
    date: dt.date
    note: str


@dataclass(frozen=True, slots=True)
class CompanyRates:
    """The own rates beside those of the book.

    Parameters
    ----------
    version : int
        Of the record; 0 before there is one. [-]
    currency : str
        ISO code of all of them.
    rates : tuple of RateTold
        Every rate that may be replaced, in the order of the book.
    without_use : tuple of str
        Ids of own rates that this release's book has not.
    """

    version: int
    currency: str
    rates: tuple[RateTold, ...]
    without_use: tuple[str, ...]


def company_rates(office: Office, caller: Caller) -> CompanyRates:
    """Return the own rates beside those of the book.

    Raises
    ------
    RefusedError
        If the caller may not: whoever sees no price sees no rate.
    """
    caller.require("rates.read")
    with office.reading() as unit:
        return _told(unit.house_rates.find(HOUSE_RATES))


def change_rates(office: Office, caller: Caller, seen: int, typed: Mapping[str, RateTyped]) -> CompanyRates:
    """Keep the own rates, all of them; a rate that is not among them is the usual one again.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    seen : int
        The version that the caller saw; 0 before there were any. [-]
    typed : mapping of str to RateTyped
        By id.

    Raises
    ------
    InputError
        If there is no such rate, nobody can read its value, or its unit measures something else.
    StaleError, RefusedError
        If they have changed since, or the caller may not.
    """
    caller.require("rates.write")
    own = {id: asdict(_checked(id, one)) for id, one in typed.items()}
    with office.writing(caller) as unit:
        return _told(_changed(unit, seen, own))


def _changed(unit: Unit, seen: int, own: Mapping[str, Mapping[str, Any]]) -> KeptHouseRates:
    if unit.house_rates.find(HOUSE_RATES) is not None:
        return unit.house_rates.change(HOUSE_RATES, seen, rates=own)
    if seen != 0:
        raise StaleError(say("store.stale"), fix=say("store.stale-do"))
    return unit.house_rates.add(HOUSE_RATES, rates=own)


def _checked(id: str, typed: RateTyped) -> HouseRate:
    usual = usual_rate(id)
    return HouseRate(own_value(usual, typed.value, typed.unit), usual.unit, typed.date.isoformat(), typed.note)


def read_file(office: Office, caller: Caller, data: bytes) -> tuple[RowRead, ...]:
    """Return the rows of a CSV file beside what counts now; nothing is kept.

    Raises
    ------
    InputError
        If it is a spreadsheet, no text, without a heading, or far too long.
    RefusedError
        If the caller may not change rates.
    """
    caller.require("rates.write")
    with office.reading() as unit:
        kept = unit.house_rates.now()
    return read_rates(data, _house(kept))


def rates_history(office: Office, caller: Caller, *, most: int = 100, after: int = 0) -> tuple[Change, ...]:
    """Return what became of the own rates, oldest change first.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    most, after : int
        How many, and after which sequence number. [-]

    Raises
    ------
    RefusedError
        If the caller may not.
    """
    caller.require("rates.read")
    with office.reading() as unit:
        return unit.changes.of("house_rates", HOUSE_RATES, most=most, after=after)


def _told(kept: KeptHouseRates | None) -> CompanyRates:
    house = _house({} if kept is None else kept.rates)
    return CompanyRates(
        0 if kept is None else kept.version, book().currency, rates_told(house), rates_without_use(house)
    )


def _house(kept: Mapping[str, Mapping[str, Any]]) -> HouseRates:
    return HouseRates({id: HouseRate(**rate) for id, rate in kept.items()})

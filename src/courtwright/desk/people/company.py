"""The company's own record: name, licence, address, terms and logo, as offers show them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from courtwright.desk.caller import Caller
from courtwright.desk.office import Office
from courtwright.desk.people.logos import clean_logo
from courtwright.desk.people.own_terms import own_terms
from courtwright.errors import MissingError
from courtwright.says import say
from courtwright.store.rows.changes import Change
from courtwright.store.rows.company import COMPANY, Company
from courtwright.trade.usual_terms import UsualTerms, usual_terms
from courtwright.trade.words import Language


def company(office: Office, caller: Caller) -> Company:
    """Return the company.

    Raises
    ------
    MissingError, RefusedError
        If it is not set up yet, or the caller may not.
    """
    caller.require("company.read")
    with office.reading() as unit:
        return unit.company.get(COMPANY)


def change_company(office: Office, caller: Caller, seen: int, values: Mapping[str, Any]) -> Company:
    """Change the company's record.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    seen : int
        The version that the caller saw. [-]
    values : mapping
        By field of `Company`, but for the logo; of the terms only what `own_terms` reads is kept.

    Raises
    ------
    MissingError, StaleError, RefusedError
        If it is not set up yet, has changed since, or the caller may not.
    """
    caller.require("company.write")
    own = {name: value for name, value in values.items() if name != "logo_sha256"}
    if "terms" in own:
        own["terms"] = own_terms(own["terms"])
    with office.writing(caller) as unit:
        return unit.company.change(COMPANY, seen, **own)


def change_logo(office: Office, caller: Caller, seen: int, data: bytes | None) -> Company:
    """Give the company another logo, or none.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    seen : int
        The version that the caller saw. [-]
    data : bytes or None
        A PNG or JPEG file.

    Raises
    ------
    InputError
        If it is no such picture.
    MissingError, StaleError, RefusedError
        As `change_company` does.
    """
    caller.require("company.write")
    clean = None if data is None else clean_logo(data)
    with office.writing(caller) as unit:
        sha256 = None if clean is None else unit.keep(clean)
        return unit.company.change(COMPANY, seen, logo_sha256=sha256)


def logo(office: Office, caller: Caller) -> bytes:
    """Return the logo, a PNG.

    Raises
    ------
    DamagedError
        If the kept file is missing or not what it was.
    MissingError, RefusedError
        If there is none, or the caller may not.
    """
    caller.require("company.read")
    with office.reading() as unit:
        sha256 = unit.company.get(COMPANY).logo_sha256
        if sha256 is None:
            raise MissingError(say("store.missing", record=say("desk.record-logo")))
        return unit.blobs.get(sha256)


def company_history(office: Office, caller: Caller, *, most: int = 100, after: int = 0) -> tuple[Change, ...]:
    """Return what became of the company's record, oldest change first.

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
    caller.require("company.read")
    with office.reading() as unit:
        return unit.changes.of("company", COMPANY, most=most, after=after)


def company_usual_terms(caller: Caller, language: Language) -> tuple[UsualTerms, ...]:
    """Return the terms that stand on a paper where the company says nothing of its own.

    Raises
    ------
    RefusedError
        If the caller may not.
    """
    caller.require("company.read")
    return usual_terms(language)

"""Seals as the office looks at them: of one offer, by the code on a paper, and all of them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from courtwright.desk.caller import Caller
from courtwright.desk.offers.accepting import keys_of
from courtwright.desk.office import Office
from courtwright.errors import MissingError
from courtwright.says import say
from courtwright.site.record import Complaint
from courtwright.store.rows.seals import Seal
from courtwright.store.seals import short_form, verify_seals, with_short_form


@dataclass(frozen=True, slots=True)
class SealSeen:
    """A seal, and what is wrong with what it seals.

    Parameters
    ----------
    offer_id : str
        The offer that is sealed.
    seq : int
        Place in its chain. [-]
    at : datetime
        When, in UTC.
    short : str
        The code as it is printed.
    key_id : str
        Of the key.
    body : str
        What is sealed, as canonical JSON.
    findings : tuple of Complaint
        Empty when all is as it was sealed.
    """

    offer_id: str
    seq: int
    at: dt.datetime
    short: str
    key_id: str
    body: str
    findings: tuple[Complaint, ...]


def seal_of(office: Office, caller: Caller, id: str) -> SealSeen:
    """Return the seal of an accepted offer, looked at now.

    Raises
    ------
    MissingError, RefusedError, StoreError
        If it has none, there is no such offer, the caller may not, or a key cannot be read.
    """
    caller.require("offers.seal")
    with office.reading() as unit:
        unit.offers.get(id)
        found = unit.seals.of(id)
        if found is None:
            raise MissingError(say("desk.no-seal"))
        wrong = verify_seals(unit, keys_of(office), id)
    return _seen(found, wrong)


def seal_on_paper(office: Office, caller: Caller, code: str) -> SealSeen:
    """Return the seal whose code stands on a paper, looked at now.

    Raises
    ------
    MissingError, RefusedError, StoreError
        If there is none, the caller may not, or a key cannot be read.
    """
    caller.require("offers.seal")
    with office.reading() as unit:
        found = with_short_form(unit, code)
        if found is None:
            raise MissingError(say("desk.no-seal"), fix=say("desk.no-seal-do"))
        wrong = verify_seals(unit, keys_of(office), found.offer_id)
    return _seen(found, wrong)


def _seen(found: Seal, wrong: tuple[Complaint, ...]) -> SealSeen:
    concerned = tuple(one for one in wrong if one.at in (found.offer_id, found.chain))
    short = short_form(found.mac)
    return SealSeen(found.offer_id, found.seq, found.at, short, found.key_id, found.body, concerned)


def seals_looked_at(office: Office, caller: Caller) -> tuple[Complaint, ...]:
    """Return what is wrong with accepted offers and their seals, but for kept files that are there and changed inside.

    To read every file takes long; the check of a backup does, and so does the look at one offer.

    Raises
    ------
    RefusedError, StoreError
        If the caller may not, or a key cannot be read.
    """
    caller.require("offers.seal")
    with office.reading() as unit:
        return verify_seals(unit, keys_of(office), reads_files=False)

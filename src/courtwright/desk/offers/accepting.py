"""An offer is accepted: acceptance, state, stage, seal and the asking for its paper, all at once or not at all."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass

from courtwright.desk.offers import accepted_papers
from courtwright.desk.offers.standing import choices, consent, is_expired, today
from courtwright.desk.office import Office
from courtwright.errors import ConflictError, InputError, StoreError
from courtwright.says import say
from courtwright.store.keys import Keys
from courtwright.store.rows.acceptances import Acceptance
from courtwright.store.rows.jobs import STAGES
from courtwright.store.rows.offers import Offer
from courtwright.store.seals import seal
from courtwright.store.unit import Unit


@dataclass(frozen=True, slots=True)
class Given:
    """What somebody gives who accepts.

    Parameters
    ----------
    options : mapping of str to str
        The option that is chosen, by pad; pads that are left out are not ordered.
    name : str
        Who accepts.
    consent : str or None
        The sentence as it was shown; None for the one printed on the paper.
    signed_on : date or None
        The date beside a signature on paper; None when it comes by link.
    """

    options: Mapping[str, str]
    name: str
    consent: str | None = None
    signed_on: dt.date | None = None


def accept(office: Office, unit: Unit, offer: Offer, given: Given) -> Acceptance:
    """Accept an offer inside a unit that writes.

    Parameters
    ----------
    office, unit
        Where, and in which it is written.
    offer : Offer
        That the caller may accept.
    given : Given
        By whom, and what.

    Returns
    -------
    Acceptance
        The one that was recorded; the same given again is the same acceptance.

    Raises
    ------
    ConflictError
        If the offer is not open, has expired, or was accepted otherwise; or the sentence is not the one shown now.
    InputError
        If a name or every option is missing, or an option is not offered.
    DamagedError, StoreError
        If it cannot be sealed.
    """
    # In the order in which a revision is sent, so that neither waits for the other.
    unit.jobs.lock(offer.job_id)
    unit.offers.lock(offer.id)
    known = unit.acceptances.of(offer.id)
    if known is not None:
        if _is_same(known, given):
            return known
        raise ConflictError(say("desk.accepted-otherwise"), fix=say("desk.accepted-otherwise-do"))
    offer = open_offer(unit, offer.id)
    _require_possible(office, offer, given)
    at = unit.offers.hand.at
    made = Acceptance(
        id=office.new_id(),
        offer_id=offer.id,
        options=dict(given.options),
        name=_name(given),
        consent=consent(offer),
        signed_on=given.signed_on,
        at=at,
        who=unit.offers.hand.who,
    )
    unit.acceptances.add(made)
    unit.offers.change(offer.id, None, state="accepted")
    advance(unit, offer.job_id, "work")
    sealed = seal(unit, keys_of(office), offer.id, at)
    unit.changes.note(unit.offers.hand, "offer-accepted", offer.id)
    accepted_papers.ask(office, unit, offer, made, sealed)
    return made


def open_offer(unit: Unit, id: str) -> Offer:
    """Return an offer that may be accepted or declined, held until the unit ends; expired or not.

    Raises
    ------
    ConflictError
        If it is none, in the words that fit.
    MissingError
        If there is none.
    """
    unit.offers.lock(id)
    found = unit.offers.get(id)
    unit.offers.require(found.withdrawn_at is None, "desk.offer-withdrawn")
    unit.offers.require(found.state == "sent", f"desk.offer-{found.state}")
    unit.offers.require(unit.jobs.get(found.job_id).withdrawn_at is None, "desk.offer-withdrawn")
    return found


def _require_possible(office: Office, offer: Offer, given: Given) -> None:
    now = office.now()
    if offer.is_letter:
        raise ConflictError(say("desk.offer-letter"), fix=say("desk.offer-letter-do"))
    day = given.signed_on or today(now)
    if is_expired(offer, day):
        raise ConflictError(say("desk.offer-expired", date=str(offer.expires_on)), fix=say("desk.offer-expired-do"))
    if given.signed_on is not None and not offer.issued_on <= given.signed_on <= now.date() + dt.timedelta(days=1):
        raise InputError(say("desk.signed-when"), where="signed_on", fix=say("desk.signed-when-do"))
    if given.consent is not None and given.consent != consent(offer):
        raise ConflictError(say("desk.consent-other"), fix=say("desk.consent-other-do"))
    if not _name(given):
        raise InputError(say("desk.no-name"), where="name", fix=say("desk.no-name-do"))
    offered = choices(offer)
    if not given.options:
        raise InputError(say("desk.no-option"), where="options", fix=say("desk.no-option-do"))
    for pad, option in given.options.items():
        if option not in offered.get(pad, ()):
            problem = say("desk.not-offered", pad=pad[:80], option=option[:80])
            raise InputError(problem, where="options", fix=say("desk.no-option-do"))


def _is_same(known: Acceptance, given: Given) -> bool:
    agreed = known.consent if given.consent is None else given.consent
    there = (dict(known.options), known.name, known.consent, known.signed_on)
    return there == (dict(given.options), _name(given), agreed, given.signed_on)


def _name(given: Given) -> str:
    return " ".join(given.name.split())


def advance(unit: Unit, job_id: str, stage: str) -> None:
    """Bring a job to a stage, unless it is there or further."""
    job = unit.jobs.get(job_id)
    if STAGES.index(job.stage) < STAGES.index(stage):
        unit.jobs.change(job_id, None, stage=stage)


def keys_of(office: Office) -> Keys:
    """Return the keys of the seals.

    Raises
    ------
    StoreError
        If the office has no place for them.
    """
    if office.keys is None:
        raise StoreError(say("desk.no-keys"), fix=say("desk.no-keys-do"))
    return office.keys

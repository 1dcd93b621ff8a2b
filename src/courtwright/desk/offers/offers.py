"""Offers: drafted from a walk, sent, taken back, revised, declined; what is sent stays as it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from courtwright.desk.caller import Caller
from courtwright.desk.offers import accepting
from courtwright.desk.offers.accepting import Given
from courtwright.desk.offers.standing import is_expired, today
from courtwright.desk.office import Office
from courtwright.desk.pages import Page, after_of, page_of
from courtwright.errors import MissingError
from courtwright.says import say
from courtwright.store.rows.acceptances import Acceptance
from courtwright.store.rows.changes import Change
from courtwright.store.rows.offers import Offer
from courtwright.store.unit import Once, Unit

#: Until its papers are made, and again when what they were made of changes.
BLANK: Mapping[str, Any] = {"inputs": None, "answers": None, "says": {}, "expires_on": None}
_REQUEST: Mapping[str, Any] = {
    "start": None,
    "budget": False,
    "seed": 1,
    "options": None,
    "reasons": None,
    "prices": None,
    "texts": None,
}


def list_offers(
    office: Office, caller: Caller, job_id: str, *, most: int = 50, after: str | None = None
) -> Page[Offer]:
    """Return the offers of a job, withdrawn or not, changed last first.

    Parameters
    ----------
    office, caller, job_id
        Where, who asks, and of which job.
    most : int
        How many at once. [-]
    after : str or None
        Where the page before ended.

    Raises
    ------
    InputError
        If ``after`` is none of ours.
    MissingError, RefusedError
        If there is no such job, or the caller may not.
    """
    caller.require("offers.read")
    with office.reading() as unit:
        unit.jobs.get(job_id)
        where = unit.offers.table.c.job_id == job_id
        return page_of(unit.offers.page(where, most=most + 1, after=after_of(after)), most)


def offer(office: Office, caller: Caller, id: str) -> Offer:
    """Return one offer.

    Raises
    ------
    MissingError, RefusedError
        If there is none, or the caller may not.
    """
    caller.require("offers.read")
    with office.reading() as unit:
        return unit.offers.get(id)


def draft_offer(
    office: Office, caller: Caller, job_id: str, walk_id: str, values: Mapping[str, Any], once: Once | None = None
) -> Offer:
    """Draft an offer from a walk; its papers are made later.

    Parameters
    ----------
    office, caller
        Where, and who asks.
    job_id, walk_id : str
        For which job, from which of its walks.
    values : mapping
        ``language``, ``issued_on``, and any of ``start``, ``budget``, ``seed``, ``options``, ``reasons``,
        ``prices`` and ``texts``, as `OfferAsked` has them.
    once : Once or None
        To draft one only when the request comes twice.

    Raises
    ------
    ConflictError
        If ``once`` was meant for something else, or the job or the walk is withdrawn.
    MissingError, RefusedError
        If there is no such job or walk of it, or the caller may not.
    """
    caller.require("offers.write")
    with office.writing(caller) as unit:
        known = unit.made_before(once)
        if known is not None:
            return unit.offers.get(known)
        unit.jobs.lock(job_id)
        job, walk = unit.jobs.get(job_id), unit.walks.get(walk_id)
        if walk.job_id != job_id:
            raise MissingError(say("store.missing", record=say("store.record-walk")))
        unit.offers.require(job.withdrawn_at is None, "desk.job-withdrawn")
        unit.offers.require(walk.withdrawn_at is None, "desk.walk-withdrawn")
        made = unit.offers.add(
            office.new_id(),
            job_id=job_id,
            walk_id=walk_id,
            number=unit.offers.next_number(job_id),
            revision=1,
            state="draft",
            language=values["language"],
            issued_on=values["issued_on"],
            request=_request(_REQUEST, values),
            declined_because=None,
            **BLANK,
        )
        unit.remember(once, made.id)
        return made


def _request(before: Mapping[str, Any], values: Mapping[str, Any]) -> dict[str, Any]:
    given = {name: values[name] for name in _REQUEST if name in values}
    if given.get("start") is not None:
        given["start"] = given["start"].isoformat()
    return {**before, **given}


def change_offer(office: Office, caller: Caller, id: str, seen: int, values: Mapping[str, Any]) -> Offer:
    """Change how a draft is to be written; papers that were made of it before no longer are its papers.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and of which offer.
    seen : int
        The version that the caller saw. [-]
    values : mapping
        The fields of `draft_offer` to change, and ``walk_id``.

    Raises
    ------
    ConflictError
        If it is no draft any more, or withdrawn.
    MissingError, StaleError, RefusedError
        If there is none, it has changed since, or the caller may not.
    """
    caller.require("offers.write")
    with office.writing(caller) as unit:
        before = open_draft(unit, id)
        fresh = {name: values[name] for name in ("language", "issued_on", "walk_id") if name in values}
        if "walk_id" in fresh and unit.walks.get(fresh["walk_id"]).job_id != before.job_id:
            raise MissingError(say("store.missing", record=say("store.record-walk")))
        fresh["request"] = _request(before.request, values)
        is_other = any(getattr(before, name) != value for name, value in fresh.items())
        return unit.offers.change(id, seen, **fresh, **(BLANK if is_other else {}))


def open_draft(unit: Unit, id: str) -> Offer:
    """Return a draft that nobody withdrew, held until the unit ends.

    Raises
    ------
    ConflictError, MissingError
        If it is none, or there is none.
    """
    unit.offers.lock(id)
    found = unit.offers.get(id)
    unit.offers.require(found.withdrawn_at is None, "desk.offer-withdrawn")
    unit.offers.require(found.state == "draft", "desk.offer-not-draft")
    return found


def withdraw_offer(office: Office, caller: Caller, id: str, seen: int) -> Offer:
    """Take back a draft, or an offer that nobody has answered; it can be brought back.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and which offer.
    seen : int
        The version that the caller saw. [-]

    Raises
    ------
    ConflictError
        If it was accepted, declined or replaced.
    MissingError, StaleError, RefusedError
        As `change_offer` does.
    """
    caller.require("offers.write")
    with office.writing(caller) as unit:
        unit.offers.lock(id)
        before = unit.offers.get(id)
        unit.offers.require(before.state in ("draft", "sent"), "desk.offer-answered")
        return unit.offers.withdraw(id, seen)


def bring_back_offer(office: Office, caller: Caller, id: str, seen: int) -> Offer:
    """Bring an offer back that was taken back.

    Raises
    ------
    ConflictError
        If another revision of it was sent or drafted meanwhile.
    MissingError, StaleError, RefusedError
        As `change_offer` does.
    """
    caller.require("offers.write")
    with office.writing(caller) as unit:
        unit.jobs.lock(unit.offers.get(id).job_id)
        before = unit.offers.get(id)
        later = [one for one in unit.offers.revisions(before.job_id, before.number) if one.revision > before.revision]
        unit.offers.require(all(one.withdrawn_at is not None for one in later), "desk.offer-revised")
        return unit.offers.bring_back(id, seen)


def send_offer(office: Office, caller: Caller, id: str, seen: int) -> Offer:
    """Send an offer: from now on it stays as it is, and takes the place of its earlier revisions.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and which offer.
    seen : int
        The version that the caller saw. [-]

    Raises
    ------
    ConflictError
        If it is no draft, has no papers yet, or has expired already.
    MissingError, StaleError, RefusedError
        As `change_offer` does.
    """
    caller.require("offers.write")
    with office.writing(caller) as unit:
        unit.jobs.lock(unit.offers.get(id).job_id)
        before = open_draft(unit, id)
        unit.offers.require(before.answers is not None, "desk.offer-no-papers")
        unit.offers.require(not is_expired(before, today(office.now())), "desk.offer-expired-already")
        sent = unit.offers.change(id, seen, state="sent")
        for earlier in unit.offers.revisions(before.job_id, before.number):
            unit.offers.require(earlier.state != "accepted", "desk.offer-accepted")
            if earlier.id != id and earlier.state in ("sent", "declined"):
                unit.offers.change(earlier.id, None, state="replaced")
        accepting.advance(unit, before.job_id, "offer")
        return sent


def revise_offer(office: Office, caller: Caller, id: str, once: Once | None = None) -> Offer:
    """Draft a revision of an offer that was sent; that one stays as it is, and holds until the revision is sent.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and which offer.
    once : Once or None
        To draft one only when the request comes twice.

    Raises
    ------
    ConflictError
        If it was accepted, is a draft itself, or another revision is being drafted.
    MissingError, RefusedError
        If there is none, or the caller may not.
    """
    caller.require("offers.write")
    with office.writing(caller) as unit:
        known = unit.made_before(once)
        if known is not None:
            return unit.offers.get(known)
        unit.jobs.lock(unit.offers.get(id).job_id)
        before = unit.offers.get(id)
        every = unit.offers.revisions(before.job_id, before.number)
        unit.offers.require(before.state != "draft", "desk.offer-is-draft")
        unit.offers.require(all(one.state != "accepted" for one in every), "desk.offer-accepted")
        drafted = [one for one in every if one.state == "draft" and one.withdrawn_at is None]
        unit.offers.require(not drafted, "desk.offer-revised")
        made = unit.offers.add(
            office.new_id(),
            job_id=before.job_id,
            walk_id=before.walk_id,
            number=before.number,
            revision=every[-1].revision + 1,
            state="draft",
            language=before.language,
            issued_on=max(before.issued_on, today(office.now())),
            request=dict(before.request),
            declined_because=None,
            **BLANK,
        )
        unit.remember(once, made.id)
        return made


def decline_offer(office: Office, caller: Caller, id: str, seen: int, because: str) -> Offer:
    """Note that a customer declined.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and which offer.
    seen : int
        The version that the caller saw. [-]
    because : str
        What was said; may be empty.

    Raises
    ------
    ConflictError
        If it is not open.
    MissingError, StaleError, RefusedError
        As `change_offer` does.
    """
    caller.require("offers.write")
    with office.writing(caller) as unit:
        accepting.open_offer(unit, id)
        return unit.offers.change(id, seen, state="declined", declined_because=because)


def reopen_offer(office: Office, caller: Caller, id: str, seen: int) -> Offer:
    """Open an offer again that was declined, by a wrong click or on second thoughts.

    Raises
    ------
    ConflictError
        If it is not declined.
    MissingError, StaleError, RefusedError
        As `change_offer` does.
    """
    caller.require("offers.write")
    with office.writing(caller) as unit:
        unit.offers.lock(id)
        unit.offers.require(unit.offers.get(id).state == "declined", "desk.offer-not-declined")
        return unit.offers.change(id, seen, state="sent", declined_because=None)


def record_acceptance(office: Office, caller: Caller, id: str, given: Given) -> Acceptance:
    """Record that a customer accepted on paper; the same again changes nothing.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and which offer.
    given : Given
        What was signed; without a sentence of its own, the one on the paper.

    Raises
    ------
    ConflictError
        If it is not open, had expired on the day of the signature, or was accepted otherwise.
    InputError
        If what was signed leaves something out, or names what is not offered.
    MissingError, RefusedError
        If there is none, or the caller may not.
    """
    caller.require("offers.seal")
    with office.writing(caller) as unit:
        return accepting.accept(office, unit, unit.offers.get(id), given)


def acceptance(office: Office, caller: Caller, id: str) -> Acceptance:
    """Return how an offer was accepted.

    Raises
    ------
    MissingError, RefusedError
        If it was not, there is none, or the caller may not.
    """
    caller.require("offers.read")
    with office.reading() as unit:
        unit.offers.get(id)
        found = unit.acceptances.of(id)
    if found is None:
        raise MissingError(say("desk.not-accepted"))
    return found


def offer_history(office: Office, caller: Caller, id: str, *, most: int = 100, after: int = 0) -> tuple[Change, ...]:
    """Return what became of an offer, oldest change first.

    Parameters
    ----------
    office, caller, id
        Where, who asks, and of which offer.
    most, after : int
        How many, and after which sequence number. [-]

    Raises
    ------
    MissingError, RefusedError
        As `offer` does.
    """
    caller.require("offers.read")
    with office.reading() as unit:
        unit.offers.get(id)
        return unit.changes.of("offer", id, most=most, after=after)

"""Offers for tests: a job with a walk, papers made for real once, and what follows."""

from __future__ import annotations

import datetime as dt
import functools
from collections.abc import Mapping
from typing import Any

from courtwright.desk.caller import Caller
from courtwright.desk.jobs import open_job
from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.asked import OfferAsked, payload
from courtwright.desk.kinds.offer import run
from courtwright.desk.offers import links, offers, papers
from courtwright.desk.offers.standing import choices
from courtwright.desk.office import Office
from courtwright.store.rows.links import Scope
from courtwright.store.rows.offers import Offer
from tests.desk.jobs import ESTIMATOR
from tests.desk.kinds.demo import demo, untold
from tests.offer.specimens import logo

ISSUED = dt.date(2026, 5, 4)
WHO = "Rosa Quintero"


@functools.cache
def site() -> Mapping[str, bytes]:
    """Return the demo site, photos and all."""
    return demo()


@functools.cache
def answers(issued_on: dt.date = ISSUED, language: str = "en", budget: bool = False) -> bytes:
    """Return what the kind of work makes of the demo site for a company with a logo; once for all tests."""
    ask = OfferAsked(issued_on.isoformat(), language=language, budget=budget)
    return run(parcel.pack({**parcel.unpack(payload(ask, site())), "logo.png": logo()}), untold)


def a_walk(office: Office, name: str = "Two courts") -> tuple[str, str]:
    """Return the ids of a new job and of its walk."""
    job = open_job(office, ESTIMATOR, {"name": name}).id
    with office.writing(ESTIMATOR) as unit:
        walk = unit.walks.add(office.new_id(), job_id=job, name="First walk", walked_on=ISSUED)
    return job, walk.id


def a_draft(office: Office, **values: Any) -> Offer:
    """Return a new draft of a new job."""
    given = {"language": "en", "issued_on": ISSUED, **values}
    return offers.draft_offer(office, ESTIMATOR, *a_walk(office), given)


def with_papers(office: Office, draft: Offer) -> Offer:
    """Return a draft with the papers of the demo site."""
    made = answers(draft.issued_on, draft.language, draft.request["budget"])
    return papers.attach_papers(office, ESTIMATOR, draft.id, draft.version, parcel.pack(site()), made, 7)


def sent(office: Office, **values: Any) -> Offer:
    """Return an offer that was sent."""
    draft = with_papers(office, a_draft(office, **values))
    return offers.send_offer(office, ESTIMATOR, draft.id, draft.version)


def chosen(offer: Offer) -> dict[str, str]:
    """Return the first option of every pad."""
    return {pad: of[0] for pad, of in choices(offer).items()}


def accepted(office: Office, name: str = WHO) -> Offer:
    """Return an offer that was accepted on paper."""
    offer = sent(office)
    offers.record_acceptance(office, ESTIMATOR, offer.id, offers.Given(chosen(offer), name, signed_on=ISSUED))
    return offers.offer(office, ESTIMATOR, offer.id)


def customer(office: Office, offer: Offer, scope: Scope = "accept") -> Caller:
    """Return a customer who came by a new link to an offer."""
    _, link = links.make_link(office, ESTIMATOR, offer.id, scope)
    return Caller(f"link:{link.id}", "customer", offer_id=offer.id)

"""The paper of an accepted offer: asked for as soon as it is sealed, kept once it is made, and never made another."""

from __future__ import annotations

import json

from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.asked import LOGO, RECORD
from courtwright.desk.offers.logo import logo_of
from courtwright.desk.office import Office
from courtwright.desk.work import handing
from courtwright.desk.work.tasks import Work, ask_for
from courtwright.store.rows.acceptances import Acceptance
from courtwright.store.rows.offers import Offer
from courtwright.store.rows.seals import Seal
from courtwright.store.rows.tasks import Task
from courtwright.store.seals import short_form
from courtwright.store.unit import Unit

KIND = "accepted"
#: Where the paper of an offer lies among its files.
OFFER_PDF = "offer/offer.pdf"


def ask(office: Office, unit: Unit, offer: Offer, acceptance: Acceptance, seal: Seal) -> Task:
    """Ask for the paper, inside the unit in which the offer is accepted."""
    record = json.dumps(
        {
            "says": dict(offer.says),
            "number": offer.number,
            "revision": offer.revision,
            "units": unit.jobs.get(offer.job_id).units,
            "name": acceptance.name,
            "options": dict(acceptance.options),
            "consent": acceptance.consent,
            "at": acceptance.at.isoformat(),
            "signed_on": acceptance.signed_on.isoformat() if acceptance.signed_on else None,
            "seal": short_form(seal.mac),
            "seal_seq": seal.seq,
            "offer_pdf_sha256": (offer.answers or {}).get(OFFER_PDF, ""),
        },
        ensure_ascii=False,
        sort_keys=True,
    ).encode()
    logo = logo_of(offer)
    request = {handing.WHOLE: {LOGO: logo}} if logo else {}
    work = Work(KIND, offer.id, offer.job_id, "offers.read", parcel.pack({RECORD: record}), request)
    return ask_for(office, unit, work)


def made(office: Office, unit: Unit, task: Task, result: bytes) -> None:
    """Keep the paper: what the result of the task means."""
    unit.papers.add(office.new_id(), task.about, unit.keep(result), unit.tasks.hand.at)

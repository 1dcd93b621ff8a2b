"""Writes an offer, or a budget letter, with all that is needed to read it again in ten years.

In: what `asked.payload` makes of an `OfferAsked` and a site with its photos. Out: a `parcel` of

- ``offer/NAME``: each file that ``courtwright offer`` writes, for the customer;
- ``logo.png``: the contractor's as it stands on the paper, where there is one; for the customer's page;
- ``photos/photo-N.jpg``: the photos that the paper shows, upright, small and bare, for the customer's page;
- ``choices.json``: every option, whether a paper shows it by itself and at which price, for the estimator alone;
- ``estimate.json``: the answer of ``price`` that the offer rests on, for the estimator and never for the customer;
- ``inputs.json``: ``schema_version``, ``version`` of this program, ``trade`` (the digest of the trade's data),
  ``asked`` (the question), ``logo`` (its SHA-256, or null) and ``files`` (the SHA-256 of each file
  of the site by name).
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import json
from decimal import Decimal
from importlib.metadata import version

from courtwright.desk.kinds import Told, parcel
from courtwright.desk.kinds.asked import LOGO, OfferAsked, asked
from courtwright.desk.kinds.handed import house_rates, site_files
from courtwright.job.answers.choices import choices_answer
from courtwright.job.answers.documents import document_text
from courtwright.job.answers.plain import Reader
from courtwright.job.answers.price import estimate_document
from courtwright.job.by_hand import with_choices, with_prices
from courtwright.job.estimate import estimate
from courtwright.job.papers import offer_request
from courtwright.offer import OfferTexts, offer_files, shown_photos
from courtwright.site.files import SiteFiles
from courtwright.site.folder import photo_files, read_files
from courtwright.trade.digest import trade_digest
from courtwright.trade.papers import SUBJECTS, Contractor, OwnText

SCHEMA_VERSION = 1
CHOICES, ESTIMATE, INPUTS, FOLDER, PHOTOS = "choices.json", "estimate.json", "inputs.json", "offer/", "photos/"


def run(payload: bytes, told: Told) -> bytes:
    """Return an offer with its estimate and the checksums of all that went into it.

    Raises
    ------
    CallError
        If the question is none of ours.
    InputError
        If nothing is left to compute, or what was set by hand cannot stand.
    OutputError
        If a file of the offer cannot be made.
    """
    ask, site = asked(OfferAsked, payload)
    logo = parcel.part(payload, LOGO) or b""
    files = site_files(site, ask.name)
    record = read_files(files, ask.name)
    made = estimate(record, ask.seed, lambda done, of: told(done, of + 1), house_rates(ask))
    request = offer_request(
        made,
        issued_on=dt.date.fromisoformat(ask.issued_on),
        start=dt.date.fromisoformat(ask.start) if ask.start else None,
        budget=ask.budget,
        language=ask.language,
        photos=photo_files(files, record.photos),
        contractor=_contractor(ask),
        texts=_texts(ask),
        logo=logo,
    )
    choices = document_text(choices_answer(request))
    request = with_choices(request, ask.options or {}, ask.reasons or {})
    request = with_prices(request, _prices(ask))
    written = {FOLDER + name: content for name, content in offer_files(request).items()}
    for _, name, picture in shown_photos(request.site.photos, request.photos):
        if picture is not None:
            written[PHOTOS + name] = picture
    answer = document_text(estimate_document(made, Reader(ask.language, record.job.units)))
    if logo:
        written[LOGO] = logo
    steps = 3 * len(record.pads) + 1
    told(steps, steps)
    written[CHOICES] = choices.encode("utf-8", "replace")
    return parcel.pack({**written, ESTIMATE: answer.encode("utf-8", "replace"), INPUTS: _inputs(ask, files, logo)})


def _contractor(ask: OfferAsked) -> Contractor | None:
    given = ask.contractor
    if given is None:
        return None
    own = ask.terms or {}
    return Contractor(
        given["name"],
        given.get("licence", ""),
        given.get("address", ""),
        "the house's own",
        given.get("phone", ""),
        terms={subject: OwnText(**own[subject]) for subject in SUBJECTS if subject in own},
    )


def _texts(ask: OfferAsked) -> OfferTexts:
    given = dict(ask.texts or {})
    beside = given.pop("options", {})
    return OfferTexts(
        **given, options={(pad, option): text for pad, of in beside.items() for option, text in of.items()}
    )


def _prices(ask: OfferAsked) -> dict[str, dict[str, Decimal]]:
    """Return the prices that were set by hand; why is for the office alone."""
    given = ask.prices or {}
    return {pad: {option: Decimal(one["firm_price"]) for option, one in of.items()} for pad, of in given.items()}


def _inputs(ask: OfferAsked, files: SiteFiles, logo: bytes) -> bytes:
    asked_for, known = dataclasses.asdict(ask), ask.hashes or {}
    del asked_for["hashes"]
    inputs = {
        "schema_version": SCHEMA_VERSION,
        "version": version("courtwright"),
        "trade": trade_digest(),
        "asked": asked_for,
        "logo": hashlib.sha256(logo).hexdigest() if logo else None,
        "files": {name: known.get(name) or _digest(files, name) for name in files.names()},
    }
    return json.dumps(inputs, ensure_ascii=False, indent=1).encode("utf-8", "replace")


def _digest(files: SiteFiles, name: str) -> str:
    with files.open(name) as handle:
        return hashlib.sha256(handle.read()).hexdigest()

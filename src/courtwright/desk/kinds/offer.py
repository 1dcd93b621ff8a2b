"""Writes an offer, or a budget letter, with all that is needed to read it again in ten years.

In: what `asked.payload` makes of an `OfferAsked` and a site with its photos. Out: a `parcel` of

- ``offer/NAME``: each file that ``courtwright offer`` writes, for the customer;
- ``photos/photo-N.jpg``: the photos that the paper shows, upright, small and bare, for the customer's page;
- ``estimate.json``: the answer of ``price`` that the offer rests on, for the estimator and never for the customer;
- ``inputs.json``: ``schema_version``, ``version`` of this program, ``trade`` (the digest of the trade's data),
  ``asked`` (the question) and ``files`` (the SHA-256 of each file of the site by name).
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import json
from importlib.metadata import version

from courtwright.desk.kinds import Told, parcel
from courtwright.desk.kinds.asked import OfferAsked, asked
from courtwright.desk.kinds.handed import site_files
from courtwright.job.answers.documents import document_text
from courtwright.job.answers.plain import Reader
from courtwright.job.answers.price import estimate_document
from courtwright.job.estimate import estimate
from courtwright.job.papers import offer_request
from courtwright.offer import offer_files, shown_photos
from courtwright.site.files import SiteFiles
from courtwright.site.folder import photo_files, read_files
from courtwright.trade.digest import trade_digest
from courtwright.trade.papers import Contractor

SCHEMA_VERSION = 1
ESTIMATE, INPUTS, FOLDER, PHOTOS = "estimate.json", "inputs.json", "offer/", "photos/"


def run(payload: bytes, told: Told) -> bytes:
    """Return an offer with its estimate and the checksums of all that went into it.

    Raises
    ------
    CallError
        If the question is none of ours.
    InputError
        If nothing is left to compute.
    OutputError
        If a file of the offer cannot be made.
    """
    ask, site = asked(OfferAsked, payload)
    files = site_files(site, ask.name)
    record = read_files(files, ask.name)
    made = estimate(record, ask.seed, lambda done, of: told(done, of + 1))
    request = offer_request(
        made,
        issued_on=dt.date.fromisoformat(ask.issued_on),
        start=dt.date.fromisoformat(ask.start) if ask.start else None,
        budget=ask.budget,
        language=ask.language,
        photos=photo_files(files, record.photos),
        contractor=_contractor(ask),
        options=ask.options,
    )
    written = {FOLDER + name: content for name, content in offer_files(request).items()}
    for _, name, picture in shown_photos(request.site.photos, request.photos):
        if picture is not None:
            written[PHOTOS + name] = picture
    answer = document_text(estimate_document(made, Reader(ask.language, record.job.units)))
    steps = 3 * len(record.pads) + 1
    told(steps, steps)
    return parcel.pack({**written, ESTIMATE: answer.encode("utf-8", "replace"), INPUTS: _inputs(ask, files)})


def _contractor(ask: OfferAsked) -> Contractor | None:
    given = ask.contractor
    if given is None:
        return None
    return Contractor(
        given["name"], given.get("licence", ""), given.get("address", ""), "the house's own", given.get("phone", "")
    )


def _inputs(ask: OfferAsked, files: SiteFiles) -> bytes:
    asked_for, known = dataclasses.asdict(ask), ask.hashes or {}
    del asked_for["hashes"]
    inputs = {
        "schema_version": SCHEMA_VERSION,
        "version": version("courtwright"),
        "trade": trade_digest(),
        "asked": asked_for,
        "files": {name: known.get(name) or _digest(files, name) for name in files.names()},
    }
    return json.dumps(inputs, ensure_ascii=False, indent=1).encode("utf-8", "replace")


def _digest(files: SiteFiles, name: str) -> str:
    with files.open(name) as handle:
        return hashlib.sha256(handle.read()).hexdigest()

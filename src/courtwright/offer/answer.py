"""The offer as data: what a customer may know, and nothing else."""

from __future__ import annotations

import json
from collections.abc import Sequence

from courtwright.cost import recolour_every
from courtwright.offer.offered import Offered, PadOffer, plain_range
from courtwright.offer.paper import Paper
from courtwright.offer.photos import named_photos
from courtwright.offer.sections.findings import photo_caption
from courtwright.offer.sections.options import conditions, leaves
from courtwright.offer.sections.terms import terms
from courtwright.offer.sections.unknown import asked, unseen

SCHEMA_VERSION = 1


def offer_json(paper: Paper, file_names: Sequence[str]) -> bytes:
    """Return the offer as JSON.

    Parameters
    ----------
    paper : Paper
        What is offered.
    file_names : sequence of str
        The files written with it.

    Returns
    -------
    bytes
        Firm prices, agreed rates and the last day they hold; in a budget letter ranges instead. Nothing of how
        a price was made.
    """
    request, site = paper.request, paper.request.site
    who = request.contractor
    answer: dict[str, object] = {
        "schema_version": SCHEMA_VERSION,
        "kind": "budget letter" if request.budget else "offer",
        "issued_on": request.issued_on.isoformat(),
        "expires_on": None if request.budget or paper.expires_on is None else paper.expires_on.isoformat(),
        "starts_on": request.start.isoformat() if request.start else None,
        "language": request.language,
        "currency": request.currency,
        "units": request.units,
        "contractor": {"name": who.name, "licence": who.licence, "address": who.address, "phone": who.phone},
        "job": {"name": site.job.name, "customer": site.job.customer, "address": site.address},
        **_typed(greeting=request.texts.greeting, note=request.texts.note, closing=request.texts.closing),
        "pads": [_pad(paper, pad) for pad in paper.pads],
        "photos": [
            {"file": name, "caption": photo_caption(paper, photo)}
            for photo, name in named_photos(site.photos, request.photos)
        ],
        "not_known": unseen(paper),
        "terms": terms(paper).content["blocks"],
        "files": list(file_names),
    }
    if request.budget:
        answer["notice"] = paper.say("budget-notice")
    return (json.dumps(answer, ensure_ascii=False, indent=2) + "\n").encode()


def _typed(**texts: str) -> dict[str, str]:
    """Return what was written by hand; what is empty is left out."""
    return {name: text.strip() for name, text in texts.items() if text.strip()}


def _pad(paper: Paper, pad: PadOffer) -> dict[str, object]:
    return {
        "id": pad.pad.id,
        "area_m2": round(pad.reading.area, 2),
        "findings": paper.sentences(finding.says for finding in pad.verdict.findings),
        "recommended": pad.advised.option.id if pad.advised is not None else None,
        "advice": paper.sentences(pad.verdict.advice),
        "options": [_option(paper, pad, offered) for offered in pad.offered],
        "not_offered": [
            {"id": option.id, "title": paper.render(option.title), "state": option.state} for option in pad.left_out
        ],
        "measure_next": asked(paper, pad),
    }


def _option(paper: Paper, pad: PadOffer, offered: Offered) -> dict[str, object]:
    price, life = offered.price, offered.price.life_years
    answer: dict[str, object] = {
        "id": offered.option.id,
        "letter": offered.letter,
        "title": paper.title(offered),
        **_typed(note=paper.note(pad, offered)),
        "remedies": list(offered.option.remedies),
        "state": offered.option.state,
        "stands_if": [] if offered.is_sure else conditions(paper, offered.option),
    }
    if paper.request.budget:
        low, high = plain_range(price)
        answer["range"] = {"from": low, "to": high}
    else:
        answer["firm_price"] = float(price.firm_price)
        answer["allowances"] = [
            {"item": a.item, "title": paper.item(a.item), "unit": a.unit, "rate": float(a.rate)}
            for a in price.allowances
        ]
    return {
        **answer,
        "includes": list(dict.fromkeys(map(paper.render, price.includes))),
        "lasts_years": {"from": round(life.p10), "to": round(life.p90)},
        "crew_days": round(offered.work.crew_days, 1),
        "waits_days": round(offered.work.wait_days, 1),
        "colour_every_years": recolour_every(offered.work, paper.request.book),
        "leaves": leaves(paper, offered.option),
        **_typed(season=paper.season(offered)),
    }

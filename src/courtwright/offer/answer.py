"""The offer as data: what a customer may know, and nothing else."""

from __future__ import annotations

import json
from collections.abc import Sequence

from courtwright.offer.days import crew_days
from courtwright.offer.offered import Offered, PadOffer, plain_range
from courtwright.offer.paper import Paper
from courtwright.offer.sections.options import conditions, leaves
from courtwright.offer.sections.terms import terms

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
        "contractor": {"name": who.name, "licence": who.licence, "address": who.address, "phone": who.phone},
        "job": {"name": site.job.name, "customer": site.job.customer, "address": site.address},
        "pads": [_pad(paper, pad) for pad in paper.pads],
        "terms": terms(paper).content["blocks"],
        "files": list(file_names),
    }
    if request.budget:
        answer["notice"] = paper.say("budget-notice")
    return (json.dumps(answer, ensure_ascii=False, indent=2) + "\n").encode()


def _pad(paper: Paper, pad: PadOffer) -> dict[str, object]:
    return {
        "id": pad.pad.id,
        "area_m2": round(pad.reading.area, 2),
        "findings": paper.sentences(finding.says for finding in pad.verdict.findings),
        "recommended": pad.advised.option.id if pad.advised is not None else None,
        "advice": paper.sentences(pad.verdict.advice),
        "options": [_option(paper, offered) for offered in pad.offered],
        "not_offered": [
            {"id": option.id, "title": paper.render(option.title), "state": option.state} for option in pad.left_out
        ],
        "measure_next": paper.sentences(next_.how for next_ in pad.verdict.measure_next),
    }


def _option(paper: Paper, offered: Offered) -> dict[str, object]:
    price, life = offered.price, offered.price.life_years
    answer: dict[str, object] = {
        "id": offered.option.id,
        "letter": offered.letter,
        "title": paper.title(offered),
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
        "crew_days": round(crew_days(offered.work), 1),
        "leaves": leaves(paper, offered.option),
    }

"""Warranty, exclusions, payment, what we need from the owner, and the cautions."""

from __future__ import annotations

import datetime as dt

from courtwright.offer.paper import Paper, Section, as_sentence
from courtwright.trade import papers
from courtwright.trade.load import scopes, tolerances


def terms(paper: Paper) -> Section:
    """Return the terms that concern the options offered."""
    blocks = [
        ("warranty-heading", "" if paper.request.budget else None, _warranty(paper)),
        ("exclusions-heading", None, _clauses(paper, papers.terms("exclusions"))),
        ("payment-heading", _payment_note(paper), _clauses(paper, papers.terms("payment"))),
        ("needs-heading", None, _clauses(paper, papers.terms("needs"))),
        ("cautions-heading", None, _clauses(paper, papers.cautions())),
    ]
    return Section(
        "terms",
        {
            "heading": paper.say("terms-heading"),
            "blocks": [
                {"heading": paper.say(heading), "note": note or "", "says": says}
                for heading, note, says in blocks
                if says
            ],
        },
    )


def _clauses(paper: Paper, clauses: papers.Clauses) -> list[str]:
    surfaces = frozenset(pad.pad.surface or "unknown" for pad in paper.pads)
    customer = paper.request.site.job.customer
    return [
        paper.sentence(clauses.says(clause))
        for clause in clauses.clause
        if clause.concerns(paper.remedies, customer, surfaces)
    ]


def _payment_note(paper: Paper) -> str:
    dated = papers.terms("payment").dated
    return paper.say("payment-dated", date=paper.date(dt.date.fromisoformat(dated))) if dated else ""


def _warranty(paper: Paper) -> list[str]:
    """Return what is covered and for how long, one sentence for each remedy offered."""
    clauses, depth = papers.terms("warranty"), tolerances().water_test
    said: list[str] = []
    for remedy in dict.fromkeys(r for pad in paper.pads for o in pad.offered for r in o.option.remedies):
        clause = next((c for c in clauses.clause if remedy in c.remedies), None)
        if clause is None:
            continue
        months = scopes()[remedy].warranty_months if remedy in scopes() else 0
        covers = paper.render(clauses.says(clause, depth=depth))
        text = "warranty-period" if months else "warranty-none"
        said.append(as_sentence(paper.say(text, remedy=paper.remedy(remedy), months=months, covers=covers)))
    return said

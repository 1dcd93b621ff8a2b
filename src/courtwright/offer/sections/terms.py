"""Warranty, exclusions, payment, what we need from the owner, and the cautions."""

from __future__ import annotations

import datetime as dt

from courtwright.offer.paper import Paper, Section, as_sentence
from courtwright.trade import papers
from courtwright.trade.load import scopes, tolerances


def terms(paper: Paper) -> Section:
    """Return the terms that concern the options offered; where none is, the cautions alone."""
    blocks = [("cautions-heading", "", _clauses(paper, papers.cautions()))]
    if paper.remedies:
        blocks = [
            ("warranty-heading", "", _warranty(paper)),
            ("exclusions-heading", "", _clauses(paper, papers.terms("exclusions"))),
            ("payment-heading", _payment_note(paper), _clauses(paper, papers.terms("payment"))),
            ("needs-heading", "", _clauses(paper, papers.terms("needs"))),
            *blocks,
        ]
    return Section(
        "terms",
        {
            "heading": paper.say("terms-heading"),
            "blocks": [
                {"heading": paper.say(heading), "note": note, "says": says} for heading, note, says in blocks if says
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
    """Return what is covered and for how long, one sentence for remedies that are covered alike."""
    clauses, coin = papers.terms("warranty"), _coin(paper)
    alike: dict[tuple[papers.Clause, int], list[str]] = {}
    for remedy in dict.fromkeys(r for pad in paper.pads for o in pad.offered for r in o.option.remedies):
        clause = next((c for c in clauses.clause if remedy in c.remedies), None)
        if clause is not None:
            months = scopes()[remedy].warranty_months if remedy in scopes() else 0
            alike.setdefault((clause, months), []).append(remedy)
    return [
        as_sentence(
            paper.say(
                "warranty-period" if months else "warranty-none",
                remedies=paper.in_a_row(remedies),
                months=months,
                covers=paper.render(clauses.says(clause, coin=coin)),
            )
        )
        for (clause, months), remedies in alike.items()
    ]


def _coin(paper: Paper) -> str:
    """Return the thickness that water is tested with, in millimetres to the hundredth: an inch rule cannot tell it."""
    return paper.say("coin", thickness=tolerances().water_test * 1000)

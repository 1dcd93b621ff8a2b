"""Warranty, exclusions, payment, what we need from the owner, and the cautions."""

from __future__ import annotations

import datetime as dt

from courtwright.offer.paper import Paper, Section, paragraphs
from courtwright.trade import papers
from courtwright.trade.papers import SUBJECTS, UNDER_LAW, Subject
from courtwright.trade.warranty import warranty_sentences


def terms(paper: Paper) -> Section:
    """Return the terms that concern the options offered; where none is, the cautions alone.

    What the contractor wrote takes the place of the usual terms of its subject; nothing takes that of the cautions.
    """
    blocks = [_block(paper, subject) for subject in SUBJECTS] if paper.remedies else []
    cautions = _clauses(paper, papers.cautions())
    blocks.append({"heading": paper.say("cautions-heading"), "typed": [], "note": "", "says": cautions})
    shown = [block for block in blocks if block["says"] or block["typed"]]
    return Section("terms", {"heading": paper.say("terms-heading"), "blocks": shown})


def _block(paper: Paper, subject: Subject) -> dict[str, object]:
    """Return what is said of a subject: paragraphs as they were typed, or sentences, and a note."""
    typed = paragraphs(paper.request.contractor.own_text(subject, paper.request.language))
    heading = paper.say(f"{subject}-heading")
    if typed:
        note = paper.say("own-terms-law") if subject in UNDER_LAW else ""
        return {"heading": heading, "typed": typed, "note": note, "says": []}
    note = _payment_note(paper) if subject == "payment" else ""
    return {"heading": heading, "typed": [], "note": note, "says": _usual(paper, subject)}


def _usual(paper: Paper, subject: Subject) -> list[str]:
    match subject:
        case "warranty":
            offered = (r for pad in paper.pads for o in pad.offered for r in o.option.remedies)
            return warranty_sentences(offered, paper.request.language)
        case "exclusions" | "payment" | "needs":
            return _clauses(paper, papers.terms(subject))
        case "insurance" | "cancellation":
            return []


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

"""What nobody knows yet and an owner should: what would change the offer, and what shows only later."""

from __future__ import annotations

from courtwright.offer.offered import PadOffer
from courtwright.offer.paper import Paper
from courtwright.trade import papers
from courtwright.verdict.records import MeasureNext


def asked(paper: Paper, pad: PadOffer) -> list[str]:
    """Return what is not known of a pad and would change what is offered on it, as questions, each with its way."""
    return [_asked(paper, pad, measure) for measure in pad.measure_next]


def _asked(paper: Paper, pad: PadOffer, measure: MeasureNext) -> str:
    """Return what is not known of a pad as a question, and how the answer is found."""
    what, how = (paper.name(f"facts.{measure.fact}.{part}", measure.fact) for part in ("title", "how"))
    text = "unknown-asked-hole" if measure.how.id == "verdict.leaves-hole" else "unknown-asked"
    return paper.say(text, pad=pad.pad.id, what=what, how=how)


def unseen(paper: Paper) -> list[str]:
    """Return what else is not known: heights nobody measured, coatings nobody tested, what only an opening shows."""
    says: list[str] = []
    for text, is_so in (("unknown-heights", _is_without_heights), ("unknown-coating", _is_untested)):
        where = [paper.say("pad-heading", pad=pad.pad.id) for pad in paper.pads if is_so(pad)]
        if where:
            says.append(paper.say(text, pads=", ".join(where)))
    if any(offered.price.allowances for pad in paper.pads for offered in pad.offered):
        says.append(paper.say("unknown-beneath-bare" if paper.request.budget else "unknown-beneath"))
    return says


def _is_without_heights(pad: PadOffer) -> bool:
    return pad.reading.heights is None


def _is_untested(pad: PadOffer) -> bool:
    """Tell whether an option cuts into a coating of which nobody knows what it holds."""
    fact = pad.verdict.facts.get("coating_tested_clean")
    remedies = frozenset(remedy for offered in pad.offered for remedy in offered.option.remedies)
    caution = next(clause for clause in papers.cautions().clause if clause.id == "old-coatings")
    return fact is not None and fact.value is None and caution.concerns(remedies, None, frozenset())

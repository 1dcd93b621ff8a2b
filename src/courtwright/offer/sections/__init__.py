"""The parts of the offer, in the order they are printed: one function and one template each."""

from __future__ import annotations

from collections.abc import Callable

from courtwright.offer.paper import Paper, Section
from courtwright.offer.sections.acceptance import acceptance
from courtwright.offer.sections.closing import closing
from courtwright.offer.sections.days import days
from courtwright.offer.sections.findings import findings
from courtwright.offer.sections.options import options
from courtwright.offer.sections.plans import plans
from courtwright.offer.sections.prices import prices
from courtwright.offer.sections.summary import summary
from courtwright.offer.sections.terms import terms

SECTIONS: tuple[Callable[[Paper], Section | None], ...] = (
    summary,
    plans,
    findings,
    options,
    prices,
    days,
    terms,
    closing,
    acceptance,
)

__all__ = ["SECTIONS"]

"""What the estimator says last, before the customer decides."""

from __future__ import annotations

from courtwright.offer.paper import Paper, Section, paragraphs


def closing(paper: Paper) -> Section | None:
    """Return the closing as it was typed; None without one."""
    typed = paragraphs(paper.request.texts.closing)
    return Section("closing", {"typed": typed}) if typed else None

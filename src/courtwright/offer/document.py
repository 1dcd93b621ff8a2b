"""The pages of the offer: tagged PDF, set by Typst from plain data."""

from __future__ import annotations

from courtwright.offer.letterhead import letterhead, logo_picture
from courtwright.offer.paper import Paper, Section
from courtwright.offer.sections import SECTIONS
from courtwright.offer.typesetting import typeset


def offer_pdf(paper: Paper) -> bytes:
    """Return the offer, or the budget letter, as PDF/UA-1; the same request gives the same bytes.

    Parameters
    ----------
    paper : Paper
        What is written.

    Returns
    -------
    bytes
        The file.

    Raises
    ------
    OutputError
        If the pages cannot be set.
    """
    sections = [section for make in SECTIONS if (section := make(paper)) is not None]
    pictures = {name: content for section in sections for name, content in section.files.items()}
    pictures |= logo_picture(paper.request.logo)
    return typeset("offer", _data(paper, sections), pictures, paper.request.issued_on)


def _data(paper: Paper, sections: list[Section]) -> dict[str, object]:
    request, site = paper.request, paper.request.site
    kind = paper.say("budget-title" if request.budget else "offer-title")
    job = site.job.name or paper.say("job-unnamed")
    day = request.issued_on
    return {
        "title": paper.say("document-title", kind=kind, job=job),
        "kind": kind,
        "lang": request.language,
        "paper": "us-letter" if request.units == "us" else "a4",
        "issued": [day.year, day.month, day.day],
        "dated": paper.date(day),
        "short": paper.is_small,
        "made-with": paper.say("made-with"),
        "page-word": paper.say("page"),
        "contractor": letterhead(request.contractor, paper.say, request.logo),
        "about": _about(paper, job),
        "sections": [{"name": section.name, "content": section.content} for section in sections],
    }


def _about(paper: Paper, job: str) -> list[str]:
    site = paper.request.site
    lines = [paper.say("for-job", job=job)]
    if site.address:
        lines.append(paper.say("at-address", address=site.address))
    if site.walked_on and site.walked_by:
        lines.append(paper.say("walked-line", date=paper.date(site.walked_on), who=site.walked_by))
    elif site.walked_on:
        lines.append(paper.say("walked-date-line", date=paper.date(site.walked_on)))
    return lines

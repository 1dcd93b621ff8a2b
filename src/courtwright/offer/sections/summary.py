"""The first page: what we found, what we advise, what it is priced at and lasts, what we do not know."""

from __future__ import annotations

from collections import Counter

from courtwright.offer.days import crew_days
from courtwright.offer.offered import Offered, PadOffer
from courtwright.offer.paper import Paper, Section, as_sentence
from courtwright.says import Says

#: As much as a summary may say of a pad's findings, and of what is not known; the page takes what it holds.
_FINDINGS, _UNKNOWNS = 6, 5


def summary(paper: Paper) -> Section:
    """Return the one page that a customer may decide from."""
    return Section(
        "summary",
        {
            "notice": paper.say("budget-notice") if paper.request.budget else "",
            "found_heading": paper.say("found-heading"),
            "found": [_found(paper, pad) for pad in paper.pads],
            "advise_heading": paper.say("advise-heading"),
            "advice": [_advice(paper, pad) for pad in paper.pads],
            "price_heading": paper.say("price-lasts-heading"),
            "prices": _prices(paper),
            "expires": expiry(paper),
            "unknown_heading": paper.say("unknown-heading"),
            "unknown": _unknown(paper),
        },
    )


def _found(paper: Paper, pad: PadOffer) -> dict[str, object]:
    said = paper.sentences(finding.says for finding in pad.verdict.findings)
    return {
        "pad": paper.say("pad-heading", pad=pad.pad.id),
        "facts": _facts(paper, pad),
        "says": said[:_FINDINGS] or [nothing_said(paper, pad)],
        "more": [
            paper.say("more-found", count=len(said) - shown) if len(said) > shown else ""
            for shown in range(_FINDINGS + 1)
        ],
    }


def nothing_said(paper: Paper, pad: PadOffer) -> str:
    """Return what is said of a pad without findings: that nothing is wrong, or that nothing is known."""
    walked = pad.pad.marks or pad.pad.tallies or pad.pad.shots is not None
    return paper.say("nothing-found" if walked else "nothing-recorded")


def _facts(paper: Paper, pad: PadOffer) -> str:
    counts = Counter(court.sport for court in pad.pad.courts)
    courts = tuple(
        paper.say(
            "court-count" if count > 1 else "court-one", count=count, sport=paper.name(f"courts.{sport}.name", sport)
        )
        for sport, count in counts.items()
    )
    facts = (
        paper.say("pad-facts", area=pad.reading.area, courts=courts)
        if courts
        else paper.say("pad-facts-bare", area=pad.reading.area)
    )
    return paper.say("built-in", facts=facts, year=pad.pad.built) if pad.pad.built else facts


def _advice(paper: Paper, pad: PadOffer) -> dict[str, object]:
    advised = pad.advised
    says: list[str] = []
    if advised is not None:
        says.append(paper.say("we-advise", letter=advised.letter, title=paper.title(advised)))
    elif pad.offered:
        says.append(paper.say("no-advice"))
    else:
        says.append(paper.say("no-option"))
    says += [without_title(paper, advised, s) for s in paper.sentences(pad.verdict.advice[:1])]
    return {"pad": paper.say("pad-heading", pad=pad.pad.id), "says": says}


def without_title(paper: Paper, advised: Offered | None, sentence: str) -> str:
    """Return advice without the option's title before it, where the title has just been said."""
    before = f"{paper.title(advised)}: " if advised is not None else ""
    return as_sentence(sentence.removeprefix(before))


def _prices(paper: Paper) -> dict[str, object] | None:
    rows = [
        [
            pad.pad.id,
            paper.say("option-heading", letter=o.letter, title=paper.title(o)),
            paper.price(o),
            paper.lasts(o),
            paper.say("crew-days", days=crew_days(o.work)),
        ]
        for pad in paper.pads
        for o in pad.offered
    ]
    head = (
        "column-pad",
        "column-option",
        "column-range" if paper.request.budget else "column-price",
        "column-lasts",
        "column-crew-days",
    )
    return {"head": [paper.say(name) for name in head], "rows": rows} if rows else None


def expiry(paper: Paper) -> str:
    """Return until when the prices hold; nothing in a budget letter."""
    if paper.expires_on is None or paper.request.budget:
        return ""
    return paper.say("expires", date=paper.date(paper.expires_on))


def _unknown(paper: Paper) -> list[str]:
    """Return what to measure next, first of each pad first."""
    queues: list[list[Says]] = [[m.how for m in pad.verdict.measure_next] for pad in paper.pads]
    turns = max((len(queue) for queue in queues), default=0)
    says = [queue[turn] for turn in range(turns) for queue in queues if turn < len(queue)]
    return paper.sentences(says)[:_UNKNOWNS] or [paper.say("nothing-unknown")]

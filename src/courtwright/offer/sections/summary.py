"""The first page: what we found, what we advise, what it is priced at and lasts, what we do not know."""

from __future__ import annotations

from collections import Counter

from courtwright.offer.days import crew_days
from courtwright.offer.offered import PadOffer
from courtwright.offer.paper import Paper, Section
from courtwright.says import Says

_FINDINGS, _UNKNOWNS, _ADVICE = 5, 4, 2


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
            "expires": _expires(paper),
            "unknown_heading": paper.say("unknown-heading"),
            "unknown": _unknown(paper),
        },
    )


def _found(paper: Paper, pad: PadOffer) -> dict[str, object]:
    said = paper.sentences(finding.says for finding in pad.verdict.findings)
    more = len(said) - _FINDINGS
    return {
        "pad": paper.say("pad-heading", pad=pad.pad.id),
        "facts": _facts(paper, pad),
        "says": said[:_FINDINGS] or [paper.say("nothing-found")],
        "more": paper.say("more-found", count=more) if more > 0 and not paper.is_small else "",
    }


def _facts(paper: Paper, pad: PadOffer) -> str:
    counts = Counter(court.sport for court in pad.pad.courts)
    courts = tuple(
        paper.say("court-count", count=count, sport=paper.name(f"courts.{sport}.name", sport))
        for sport, count in counts.items()
    )
    parts = tuple([*courts, *([paper.say("built-in", year=pad.pad.built)] if pad.pad.built else [])])
    if not parts:
        return paper.say("pad-facts-bare", area=pad.reading.area)
    return paper.say("pad-facts", area=pad.reading.area, courts=parts)


def _advice(paper: Paper, pad: PadOffer) -> dict[str, object]:
    advised = pad.advised
    says: list[str] = []
    if advised is not None:
        says.append(paper.say("we-advise", letter=advised.letter, title=paper.title(advised)))
    elif pad.offered:
        says.append(paper.say("no-advice"))
    else:
        says.append(paper.say("no-option"))
    says += [s for s in paper.sentences(pad.verdict.advice[:_ADVICE]) if s not in says]
    return {"pad": paper.say("pad-heading", pad=pad.pad.id), "says": says}


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


def _expires(paper: Paper) -> str:
    if paper.expires_on is None or paper.request.budget:
        return ""
    return paper.say("expires", date=paper.date(paper.expires_on))


def _unknown(paper: Paper) -> list[str]:
    """Return what to measure next, first of each pad first."""
    queues: list[list[Says]] = [[m.how for m in pad.verdict.measure_next] for pad in paper.pads]
    turns = max((len(queue) for queue in queues), default=0)
    says = [queue[turn] for turn in range(turns) for queue in queues if turn < len(queue)]
    return paper.sentences(says)[:_UNKNOWNS] or [paper.say("nothing-unknown")]

"""The first page: what we found, what we advise, what it is priced at and lasts, what we do not know."""

from __future__ import annotations

from collections import Counter

from courtwright.offer.days import half_days
from courtwright.offer.offered import Offered, PadOffer
from courtwright.offer.paper import Paper, Section, paragraphs
from courtwright.offer.sections.options import conditions, leaves
from courtwright.offer.sections.unknown import asked, unseen
from courtwright.trade.words import as_sentence

#: As much as a summary may say of a pad's findings, and of what is not known; the page takes what it holds.
_FINDINGS, _UNKNOWNS = 14, 5


def summary(paper: Paper) -> Section:
    """Return the one page that a customer may decide from."""
    return Section(
        "summary",
        {
            "notice": paper.say("budget-notice") if paper.request.budget else "",
            "typed": [*paragraphs(paper.request.texts.greeting), *paragraphs(paper.request.texts.note)],
            "found_heading": paper.say("found-heading"),
            "found": [_found(paper, pad) for pad in paper.pads],
            "units": paper.say("units-us") if (paper.request.units, paper.request.language) == ("us", "en") else "",
            "advise_heading": paper.say("advise-heading"),
            "advice": [_advice(paper, pad) for pad in paper.pads],
            "price_heading": paper.say("price-lasts-heading"),
            "prices": _prices(paper),
            "expires": " ".join(filter(None, (expiry(paper), _choose(paper)))),
            "unknown_heading": paper.say("unknown-heading"),
            "unknown": _unknown(paper),
            "unseen": unseen(paper),
        },
    )


def _found(paper: Paper, pad: PadOffer) -> dict[str, object]:
    said = paper.sentences(finding.says for finding in pad.verdict.findings)
    return {
        "pad": paper.say("pad-heading", pad=pad.pad.id),
        "facts": _facts(paper, pad),
        "says": said[:_FINDINGS] or [nothing_said(paper, pad)],
        "more": [_more(paper, len(said) - shown) for shown in range(_FINDINGS + 1)],
    }


def _more(paper: Paper, count: int) -> str:
    if count <= 0:
        return ""
    return paper.say("more-found-one") if count == 1 else paper.say("more-found", count=count)


def nothing_said(paper: Paper, pad: PadOffer) -> str:
    """Return what is said of a pad without findings: that nothing is wrong, or that nothing is known."""
    walked = pad.pad.marks or pad.pad.tallies or pad.pad.shots is not None
    return paper.say("nothing-found" if walked else "nothing-recorded")


def _facts(paper: Paper, pad: PadOffer) -> str:
    counts = Counter(court.sport for court in pad.pad.courts)
    courts = tuple(
        paper.say("court-count", count=count, sport=paper.name(f"courts.{sport}.name", sport))
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
    if advised is not None and not paper.is_small:
        says += filter(None, [paper.season(advised, outside_only=True)])
    if paper.is_small:
        says += [said for offered in pad.offered for said in _strip_in_words(paper, pad, offered)]
    return {"pad": paper.say("pad-heading", pad=pad.pad.id), "says": says}


def _strip_in_words(paper: Paper, pad: PadOffer, offered: Offered) -> list[str]:
    """Return what the strip of an option would say, for a paper without strips."""
    note = " ".join(line for lines in paragraphs(paper.note(pad, offered)) for line in lines)
    stands_if = [] if offered.is_sure else [paper.say("open-if"), *conditions(paper, offered.option)]
    return [said for said in (note, *stands_if, leaves(paper, offered.option), paper.season(offered)) if said]


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
            paper.say("crew-days", days=half_days(o.work)),
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


def _choose(paper: Paper) -> str:
    is_several = sum(bool(pad.offered) for pad in paper.pads) > 1
    return paper.say("choose") if is_several and not paper.request.budget else ""


def expiry(paper: Paper) -> str:
    """Return until when the prices hold; nothing in a budget letter."""
    if paper.expires_on is None or paper.request.budget:
        return ""
    return paper.say("expires", date=paper.date(paper.expires_on))


def _unknown(paper: Paper) -> list[str]:
    """Return what to measure next, first of each pad first."""
    queues = [asked(paper, pad) for pad in paper.pads]
    turns = max((len(queue) for queue in queues), default=0)
    says = [queue[turn] for turn in range(turns) for queue in queues if turn < len(queue)]
    return says[:_UNKNOWNS] or [paper.say("nothing-unknown")]

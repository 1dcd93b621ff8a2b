"""The options of every pad, one under the other along one rule of forty years."""

from __future__ import annotations

from courtwright.cost import recolour_every
from courtwright.offer.days import half_days
from courtwright.offer.offered import Offered, PadOffer
from courtwright.offer.paper import Paper, Section, paragraphs
from courtwright.offer.strip import WIDE, rule_svg, strip_svg
from courtwright.trade.papers import terms
from courtwright.trade.words import as_sentence
from courtwright.verdict.records import Option

_NOWHERE: frozenset[str] = frozenset()


def options(paper: Paper) -> Section | None:
    """Return the strips, and a line for every option that is not offered."""
    if paper.is_small:
        return None
    files: dict[str, bytes] = {"rule.svg": rule_svg(paper.say("strip-years"), paper.say("strip-rule-alt")).encode()}
    pads = [_pad(paper, number, pad, files) for number, pad in enumerate(paper.pads)]
    return Section(
        "options",
        {
            "heading": paper.say("options-heading"),
            "key": paper.say("strip-key"),
            "rule": "rule.svg",
            "rule_alt": paper.say("strip-rule-alt"),
            "width_mm": WIDE,
            "pads": pads,
            "left_out_heading": paper.say("ruled-out-heading"),
        },
        files,
    )


def _pad(paper: Paper, number: int, pad: PadOffer, files: dict[str, bytes]) -> dict[str, object]:
    return {
        "heading": paper.say("pad-heading", pad=pad.pad.id),
        "strips": [_strip(paper, f"strip-{number}-{o.letter}.svg", pad, o, files) for o in pad.offered],
        "none": "" if pad.offered else paper.say("no-option"),
        "left_out": left_out_lines(paper, pad),
    }


def _strip(paper: Paper, file: str, pad: PadOffer, offered: Offered, files: dict[str, bytes]) -> dict[str, object]:
    life = max(offered.price.life_years.p50, 0.0)
    alt = paper.say("strip-alt", letter=offered.letter, work_days=half_days(offered.work), years=life)
    every = recolour_every(offered.work, paper.request.book)
    files[file] = strip_svg(offered.work, offered.price, every, paper.lasts(offered), alt).encode()
    return {
        "title": paper.say("option-heading", letter=offered.letter, title=paper.title(offered)),
        "price": paper.price(offered),
        "file": file,
        "alt": alt,
        "advice": paper.say("we-advise", letter=offered.letter, title=paper.title(offered))
        if offered.is_advised
        else "",
        "note": paragraphs(paper.note(pad, offered)),
        "work": paper.say("remedies-in", remedies=paper.in_a_row(offered.option.remedies))
        if offered.option.remedies
        else "",
        "open_if": paper.say("open-if") if not offered.is_sure else "",
        "conditions": conditions(paper, offered.option) if not offered.is_sure else [],
        "leaves": leaves(paper, offered.option),
        "season": paper.season(offered),
    }


def conditions(paper: Paper, option: Option) -> list[str]:
    """Return what is not known yet and decides whether an option stands."""
    unknown = paper.sentences(because.says for because in option.because if because.effect == "unknown")
    return unknown or [as_sentence(paper.name(f"facts.{fact}.title", fact)) for fact in option.settled_by]


def leaves(paper: Paper, option: Option) -> str:
    """Return what an option does not mend: what the verdict found left on this pad, and its remedies' own limits."""
    clauses, remedies = terms("limits"), frozenset(option.remedies)
    said = [*option.does_not_mend, *(clauses.says(c) for c in clauses.clause if c.concerns(remedies, None, _NOWHERE))]
    if not said:
        return paper.say("does-not-mend-nothing")
    what = "; ".join(dict.fromkeys(paper.render(says).rstrip(".") for says in said))
    return as_sentence(paper.say("does-not-mend", what=what))


def left_out_lines(paper: Paper, pad: PadOffer) -> list[str]:
    """Return the options that are not offered, those with the same reason in one line."""
    alike: dict[str, list[str]] = {}
    for option in pad.left_out:
        alike.setdefault(_reason(paper, pad, option), []).append(paper.render(option.title))
    return [
        as_sentence(paper.say("ruled-out-line", titles="; ".join(titles), reason=reason))
        for reason, titles in alike.items()
    ]


def _reason(paper: Paper, pad: PadOffer, option: Option) -> str:
    if option.state != "ruled out":
        price = paper.request.prices.get((pad.pad.id, option.id))
        return paper.say("also-possible" if price is None or price.firm_price > 0 else "nothing-to-do")
    reasons = [b.says for b in option.because if b.effect == "rules out"] or [b.says for b in option.because]
    return paper.render(reasons[0]) if reasons else paper.say("not-offered")

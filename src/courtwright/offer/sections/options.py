"""The options of every pad, one under the other along one rule of forty years."""

from __future__ import annotations

from courtwright.offer.days import crew_days
from courtwright.offer.offered import Offered, PadOffer
from courtwright.offer.paper import Paper, Section
from courtwright.offer.strip import WIDE, rule_svg, strip_svg
from courtwright.says import Says
from courtwright.trade.load import rates
from courtwright.trade.papers import terms
from courtwright.verdict.records import Option


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
        "strips": [_strip(paper, f"strip-{number}-{o.letter}.svg", o, files) for o in pad.offered],
        "none": "" if pad.offered else paper.say("no-option"),
        "left_out": [left_out_line(paper, option) for option in pad.left_out],
    }


def _strip(paper: Paper, file: str, offered: Offered, files: dict[str, bytes]) -> dict[str, object]:
    life = max(offered.price.life_years.p50, 0.0)
    alt = paper.say("strip-alt", letter=offered.letter, work_days=crew_days(offered.work), years=life)
    has_colour = "resurface" in offered.option.remedies
    every = rates().upkeep["recolour_every"].size if has_colour else None
    files[file] = strip_svg(offered.work, offered.price, every, paper.lasts(offered), alt).encode()
    return {
        "title": paper.say("option-heading", letter=offered.letter, title=paper.title(offered)),
        "price": paper.price(offered),
        "file": file,
        "alt": alt,
        "advice": paper.say("we-advise", letter=offered.letter, title=paper.title(offered))
        if offered.is_advised
        else "",
        "work": paper.say("remedies-in", remedies=tuple(map(paper.remedy, offered.option.remedies)))
        if offered.option.remedies
        else "",
        "open_if": paper.say("open-if") if not offered.is_sure else "",
        "conditions": conditions(paper, offered.option) if not offered.is_sure else [],
        "leaves": leaves(paper, offered.option),
    }


def conditions(paper: Paper, option: Option) -> list[str]:
    """Return what has to be found true before an option stands: the first way to open it."""
    if option.opens_if:
        return [paper.condition(flip) for flip in option.opens_if[0]]
    return [paper.name(f"facts.{fact}.title", fact) for fact in option.settled_by]


def leaves(paper: Paper, option: Option) -> str:
    """Return what an option does not mend: of this pad where the verdict says so, else of its remedies."""
    said: tuple[Says, ...] = option.does_not_mend
    if not said:
        clauses = terms("limits")
        remedies = frozenset(option.remedies)
        said = tuple(clauses.says(c) for c in clauses.clause if not remedies.isdisjoint(c.remedies))
    if not said:
        return paper.say("does-not-mend-nothing")
    what = "; ".join(dict.fromkeys(paper.render(says).rstrip(".") for says in said))
    return paper.say("does-not-mend", what=(what,)) + "."


def left_out_line(paper: Paper, option: Option) -> str:
    """Return an option that is not offered, with the reason."""
    title = paper.render(option.title)
    if option.state != "ruled out":
        return paper.say("also-possible", title=title)
    reasons = [b.says for b in option.because if b.effect == "rules out"] or [b.says for b in option.because]
    reason = paper.render(reasons[0]) if reasons else paper.say("not-offered")
    return paper.say("ruled-out-line", title=title, reason=reason.rstrip(".")) + "."

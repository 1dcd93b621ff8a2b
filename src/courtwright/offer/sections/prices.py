"""What each price holds, and the rates for work that only an opening shows."""

from __future__ import annotations

from decimal import Decimal

from courtwright.offer.offered import Offered, PadOffer
from courtwright.offer.paper import Paper, Section
from courtwright.offer.sections.summary import expiry
from courtwright.offer.trade_units import trade_unit
from courtwright.says import Says


def prices(paper: Paper) -> Section | None:
    """Return the price of every option with what it includes, and the agreed unit rates."""
    if not any(pad.offered for pad in paper.pads):
        return None
    budget = paper.request.budget
    return Section(
        "prices",
        {
            "heading": paper.say("price-range-heading" if budget else "price-heading"),
            "pads": [_pad(paper, pad) for pad in paper.pads if pad.offered],
            "allowances_heading": paper.say("allowances-heading"),
            "allowances_intro": paper.say("allowances-intro"),
            "allowances_none": paper.say("no-allowances"),
            "allowances": None if budget else _allowances(paper),
            "budget": budget,
            "expires": "" if paper.is_small else expiry(paper),
        },
    )


def _pad(paper: Paper, pad: PadOffer) -> dict[str, object]:
    return {
        "heading": "" if paper.is_small else paper.say("pad-heading", pad=pad.pad.id),
        "options": [
            {
                "title": paper.say("option-heading", letter=o.letter, title=paper.title(o)),
                "price": paper.price(o),
                "includes": _includes(paper, o),
                "left_out": " ".join(paper.sentences(says for says in o.price.includes if _kind(says) == "left out")),
            }
            for o in pad.offered
        ],
        "notes": paper.sentences(says for o in pad.offered for says in o.price.includes if _kind(says) == "sentence"),
    }


def _includes(paper: Paper, offered: Offered) -> str:
    items = dict.fromkeys(paper.render(says) for says in offered.price.includes if _kind(says) == "item")
    return paper.say("includes", what="; ".join(items)) if items else ""


def _kind(says: Says) -> str:
    """Tell whether a saying of what a price holds is an item, an item left out, or a sentence of its own."""
    name = says.id.rpartition(".")[2]
    if name.startswith("includes-not-"):
        return "left out"
    return "item" if name.startswith("includes-") else "sentence"


def _allowances(paper: Paper) -> dict[str, object] | None:
    """Return one row for each kind of contingent work, with the options that may need it."""
    found: dict[tuple[str, str, Decimal], list[str]] = {}
    for pad in paper.pads:
        for offered in pad.offered:
            where = f"{pad.pad.id} {offered.letter}" if len(paper.pads) > 1 else offered.letter
            for allowance in offered.price.allowances:
                found.setdefault((allowance.item, allowance.unit, allowance.rate), []).append(where)
    if not found:
        return None
    rows: list[list[str]] = []
    for (item, unit, rate), options in found.items():
        shown = trade_unit(unit, paper.request.units)
        amount = paper.say("money", amount=round(float(rate) * shown.si, 2))
        rows.append([paper.item(item), paper.say(f"unit-name-{shown.name}"), amount, ", ".join(options)])
    head = [paper.say(f"column-{name}") for name in ("item", "unit", "rate", "options")]
    return {"head": head, "rows": rows}

"""The estimator's prices as a plain record."""

from __future__ import annotations

import math

from courtwright.cost import driver_says, recolour_every
from courtwright.cost.records import OptionPrice, Percentiles
from courtwright.ground.read import Told, untold
from courtwright.job.answers.documents import Document, with_complaints
from courtwright.job.answers.plain import Reader, number
from courtwright.job.estimate import Estimate, Priced, estimate
from courtwright.quantities.records import OptionWork
from courtwright.says import say
from courtwright.site.record import SiteRecord
from courtwright.trade.house_rates import USUAL, HouseRates
from courtwright.trade.rate_records import RateBook


def price_document(
    record: SiteRecord, reader: Reader, seed: int = 1, told: Told = untold, house: HouseRates = USUAL
) -> tuple[Document, Estimate]:
    """Return the whole answer of ``price``; and the estimate. ``seed`` is that of the random draws [-]."""
    made = estimate(record, seed, told, house)
    return estimate_document(made, reader), made


def estimate_document(made: Estimate, reader: Reader) -> Document:
    """Return the whole answer of ``price`` from an estimate that is there already."""
    return with_complaints(price_answer(made.priced, made.book, made.seed, reader), made.record, reader)


def price_answer(priced: Priced, book: RateBook, seed: int, reader: Reader) -> dict[str, object]:
    """Return the answer of ``price`` without its complaints; ``priced`` is by the pad's id."""
    every = [price for pairs in priced.values() for _, price in pairs]
    return {
        "currency": book.currency,
        "seed": seed,
        "pads": [
            {"id": pad, "options": [_option(work, price, book, reader) for work, price in pairs]}
            for pad, pairs in priced.items()
        ],
        "from_memory": sorted({name for price in every for name in price.from_memory}),
    }


def _option(work: OptionWork, price: OptionPrice, book: RateBook, reader: Reader) -> dict[str, object]:
    return {
        "id": price.option,
        "quantities": [
            {
                "item": q.item,
                "title": reader.says(say(f"quantities.item-{q.item}")),
                "remedy": q.remedy,
                "quantity": number(q.amount.value, 3),
                "sd": number(q.amount.sd, 3),
                "unit": q.unit,
                "formula": reader.says(q.formula),
            }
            for q in work.quantities
            if not q.is_allowance
        ],
        "price": _percentiles(price.price),
        "firm_price": float(price.firm_price),
        "unit_rate_price": number(price.unit_rate_price, 2),
        "build_up_price": number(price.build_up_price, 2),
        "build_up": [{"says": reader.says(line.says), "amount": number(line.amount, 2)} for line in price.build_up],
        "includes": [reader.says(says) for says in price.includes],
        "allowances": [
            {
                "item": a.item,
                "title": reader.says(say(f"quantities.item-{a.item}")),
                "unit": a.unit,
                "rate": float(a.rate),
                "p50": number(a.p50, 3),
                "p80": number(a.p80, 3),
                "expected": number(a.expected, 3),
            }
            for a in price.allowances
        ],
        "per_court_year": _percentiles(price.per_court_year),
        "life_years": _percentiles(price.life_years),
        "drivers": [
            {"driver": d.driver, "says": reader.says(driver_says(d.driver)), "share": _share(d.share)}
            for d in price.drivers
        ],
        "crew_days": number(work.crew_days, 2),
        "waits_days": number(work.wait_days, 2),
        "colour_every_years": recolour_every(work, book),
        "expires_in_days": price.expires_in_days,
        "notes": [reader.says(says) for says in price.notes],
    }


def _share(share: float) -> float:
    """Return a share cut off after four decimals, so that those of all drivers never sum to more than 1. [-]"""
    return math.floor(share * 10_000 + 1e-9) / 10_000


def _percentiles(p: Percentiles) -> dict[str, object]:
    return {"p10": number(p.p10, 2), "p50": number(p.p50, 2), "p80": number(p.p80, 2), "p90": number(p.p90, 2)}

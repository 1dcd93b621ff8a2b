"""The command ``price``."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from courtwright.cli.rates import rates_option, with_rates
from courtwright.cli.reading import read, site_argument
from courtwright.cli.talk import Talk, talking
from courtwright.cost import driver_says
from courtwright.cost.records import OptionPrice
from courtwright.job.answers.price import price_document
from courtwright.job.estimate import Estimate
from courtwright.offer import trade_unit
from courtwright.says import say

_EXAMPLES = (
    "\b\n"
    """Examples
  courtwright price demo-site
  courtwright price demo-site --seed 7 --json
  courtwright price demo-site --rates our-rates.csv"""
)


@click.command("price", epilog=_EXAMPLES)
@site_argument
@click.option("--seed", type=int, default=1, show_default=True, help="Of the random draws.")
@rates_option
@talking
def command(talk: Talk, site: Path, seed: int, rates: Path | None) -> None:
    """Show quantities, prices with their range, allowances, life and yearly cost: for the estimator's eyes."""
    record, house = with_rates(read(site, talk), rates)
    answer, made = price_document(record, talk.reader, seed, talk.progress, house)
    talk.give(answer, _lines(talk, made), made.record.complaints)


def _lines(talk: Talk, made: Estimate) -> Iterator[str]:
    for pad, priced in made.priced.items():
        yield talk.words("price-pad", pad=pad)
        for _, price in priced:
            yield from _option(talk, price)
        yield ""


def _option(talk: Talk, price: OptionPrice) -> Iterator[str]:
    title, range_ = say(f"options.{price.option}.title"), price.price
    firm = float(price.firm_price)
    yield talk.line(1, "price-option", title=title, firm=firm, low=range_.p10, likely=range_.p50, high=range_.p90)
    life = price.life_years
    yield talk.line(
        3, "price-life", low=max(1, round(life.p10)), high=max(1, round(life.p90)), yearly=price.per_court_year.p50
    )
    biggest = tuple(driver_says(driver.driver) for driver in price.drivers[:3])
    if biggest:
        yield talk.line(3, "price-drivers", drivers=biggest)
    for a in price.allowances:
        shown = trade_unit(a.unit, talk.units)
        rate, unit = round(float(a.rate) * shown.si, 2), say(f"offer.unit-{shown.name}")
        yield talk.line(3, "price-allowance", item=say(f"quantities.item-{a.item}"), rate=rate, unit=unit)

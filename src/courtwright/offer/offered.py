"""Which options a customer is shown, in which order, and under which letter."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal

from courtwright.cost.records import OptionPrice
from courtwright.ground.reading import PadReading
from courtwright.offer.request import OfferRequest
from courtwright.quantities.records import OptionWork
from courtwright.site.record import Pad
from courtwright.verdict.records import MeasureNext, Option, PadVerdict

#: Two to four honest options are enough to decide from.
_MOST = 4


@dataclass(frozen=True, slots=True)
class Offered:
    """One option that a customer may choose, with the letter it goes by on its pad."""

    letter: str
    option: Option
    work: OptionWork
    price: OptionPrice
    is_advised: bool

    @property
    def is_sure(self) -> bool:
        """Whether nothing has to be measured before the option stands."""
        return self.option.state == "open"


@dataclass(frozen=True, slots=True)
class PadOffer:
    """What is offered on one pad, and what is not."""

    pad: Pad
    reading: PadReading
    verdict: PadVerdict
    offered: tuple[Offered, ...]
    left_out: tuple[Option, ...]

    @property
    def advised(self) -> Offered | None:
        """The option that we advise, if any."""
        return next((offered for offered in self.offered if offered.is_advised), None)

    @property
    def measure_next(self) -> tuple[MeasureNext, ...]:
        """What is worth measuring before the owner decides: what would settle an option that is offered.

        Or one that is less work than what we advise; where we advise nothing, all of it.
        """
        order = [option.id for option in self.verdict.options]
        advised = self.verdict.recommended
        less = order[: order.index(advised)] if advised in order else order
        told = {offered.option.id for offered in self.offered} | set(less)
        return tuple(measure for measure in self.verdict.measure_next if told & set(measure.settles))


def pad_offers(request: OfferRequest) -> tuple[PadOffer, ...]:
    """Return what is offered on every pad.

    The advised option comes first, then those that stand, then those that stand only if something is
    found true; at most four, and only with a price above nought. Where options were chosen for a pad,
    those of them. The rest are told in a line each.
    """
    return tuple(_pad_offer(request, *pad) for pad in request.pads())


def shown_options(request: OfferRequest) -> dict[str, tuple[str, ...]]:
    """Return the ids of the options that are offered, by pad."""
    return {pad.pad.id: tuple(o.option.id for o in pad.offered) for pad in pad_offers(request)}


def _pad_offer(request: OfferRequest, pad: Pad, reading: PadReading, verdict: PadVerdict) -> PadOffer:
    priced = [
        option
        for option in verdict.options
        if option.state != "ruled out" and (pad.id, option.id) in request.work and _is_worth_money(request, pad, option)
    ]
    rank = {option.id: place for place, option in enumerate(verdict.options)}
    priced.sort(key=lambda o: (o.id != verdict.recommended, o.state != "open", rank[o.id]))
    chosen = request.options.get(pad.id)
    shown = priced[:_MOST] if chosen is None else [option for option in priced if option.id in chosen]
    offered = tuple(
        Offered(
            chr(ord("A") + place),
            option,
            request.work[pad.id, option.id],
            request.prices[pad.id, option.id],
            option.id == verdict.recommended,
        )
        for place, option in enumerate(shown)
    )
    return PadOffer(pad, reading, verdict, offered, tuple(o for o in verdict.options if o not in shown))


def _is_worth_money(request: OfferRequest, pad: Pad, option: Option) -> bool:
    """Tell whether an option has a price; one that finds nothing to do on a pad has none to offer."""
    price = request.prices.get((pad.id, option.id))
    return price is not None and price.firm_price > 0


def expires_on(request: OfferRequest, offers: tuple[PadOffer, ...]) -> dt.date | None:
    """Return the last day on which every price holds; None when there is none."""
    days = [offered.price.expires_in_days for offer in offers for offered in offer.offered]
    return request.issued_on + dt.timedelta(days=min(days)) if days else None


def plain_range(price: OptionPrice) -> tuple[float, float]:
    """Return the range of a budget letter: outward to two figures, so that it looks as sure as it is.

    Returns
    -------
    low, high : float
        In the currency of the price. [money]
    """
    return _two_figures(price.price.p10, up=False), _two_figures(price.price.p90, up=True)


def _two_figures(amount: float, *, up: bool) -> float:
    if amount <= 0:
        return 0.0
    exact = Decimal(amount)
    step = Decimal(10) ** (exact.adjusted() - 1)
    whole = int(exact / step)
    return float((whole + (1 if up and whole * step < exact else 0)) * step)

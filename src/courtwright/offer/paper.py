"""The sheet that every section of the offer is written on: the request, its options and its words."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from courtwright.offer.coating import SEASON_OUTSIDE, coating_says, earliest_start
from courtwright.offer.offered import Offered, PadOffer, expires_on, pad_offers, plain_range
from courtwright.offer.plan import plan_svg
from courtwright.offer.request import OfferRequest
from courtwright.says import Says, say
from courtwright.trade import words
from courtwright.trade.warranty import in_a_row


@dataclass(frozen=True, slots=True)
class Section:
    """A part of the paper: what its template is given, and the pictures it places, by file name."""

    name: str
    content: Mapping[str, object]
    files: Mapping[str, bytes] = field(default_factory=dict[str, bytes])


@dataclass(frozen=True, slots=True)
class Paper:
    """A request being written; ``plans`` are the pads' drawings, in the order of the pads."""

    request: OfferRequest
    pads: tuple[PadOffer, ...]
    plans: tuple[str, ...]
    expires_on: dt.date | None

    @classmethod
    def of(cls, request: OfferRequest) -> Paper:
        """Return the sheet for a request."""
        pads = pad_offers(request)
        plans = tuple(plan_svg(pad.pad, pad.reading, request.language, request.units) for pad in pads)
        return cls(request, pads, plans, expires_on(request, pads))

    @property
    def is_small(self) -> bool:
        """Whether it is one pad with one option: then one page and the terms are enough."""
        return len(self.pads) == 1 and len(self.pads[0].offered) <= 1

    @property
    def remedies(self) -> frozenset[str]:
        """Every remedy of every option offered."""
        return frozenset(r for pad in self.pads for o in pad.offered for r in o.option.remedies)

    def say(self, text: str, **values: object) -> str:
        """Return a text of this room in the customer's language and units."""
        return self.render(say(f"offer.{text}", **values))

    def render(self, says: Says) -> str:
        """Return what a record says."""
        return words.render(says, self.request.language, self.request.units)

    def sentence(self, says: Says) -> str:
        """Return what a record says as a sentence of its own."""
        return words.as_sentence(self.render(says))

    def sentences(self, many: Iterable[Says]) -> list[str]:
        """Return each of several sayings as a sentence, no two alike."""
        return list(dict.fromkeys(self.sentence(says) for says in many))

    def name(self, *ids: str) -> str:
        """Return the first of these texts that exists, else the last id's own word."""
        for id in ids:
            if id in words.texts():
                return self.render(say(id))
        return words.word(ids[-1].rpartition(".")[2], self.request.language)

    def in_a_row(self, remedies: Iterable[str]) -> str:
        """Return remedies' titles within a sentence, parted by semicolons: a title may hold an "and"."""
        return in_a_row(remedies, self.request.language)

    def item(self, id: str) -> str:
        """Return the name of an item of work."""
        return self.name(f"quantities.item-{id}", f"cost.item-{id}", id)

    def step(self, id: str) -> str:
        """Return the name of a step of the work."""
        return self.name(f"quantities.step-{id}", id)

    def date(self, day: dt.date) -> str:
        """Return a date in words."""
        return self.say("date", month=self.month(day), day=day.day, year=day.year)

    def month(self, day: dt.date) -> str:
        """Return the name of a date's month."""
        return self.say(f"month-{day.month}")

    def price(self, offered: Offered) -> str:
        """Return the firm price of an option; its plain range in a budget letter."""
        if not self.request.budget:
            return self.render(say("offer.money", amount=float(offered.price.firm_price)))
        low, high = plain_range(offered.price)
        return self.say("range", low=low, high=high)

    def lasts(self, offered: Offered) -> str:
        """Return how long an option lasts, as a plain range."""
        life = offered.price.life_years
        low, high = round(life.p10), round(life.p90)
        if life.p50 <= 0:
            return self.say("lasts-nothing")
        if high <= 1:
            return self.say("lasts-a-year")
        return self.say("lasts", low=low, high=high) if low < high else self.say("lasts-about", years=life.p50)

    def title(self, offered: Offered) -> str:
        """Return an option's title."""
        return self.render(offered.option.title)

    def season(self, offered: Offered, *, outside_only: bool = False) -> str:
        """Return what the season asks of an option's coats; nothing in their season.

        With ``outside_only`` nothing either where only what they need is known, and no season.
        """
        site = self.request.site
        start = earliest_start(self.request.issued_on, self.request.start)
        says = coating_says(offered.work, start, site.lat, site.lon)
        if says is None or (outside_only and says.id != SEASON_OUTSIDE):
            return ""
        return self.render(says)

    def note(self, pad: PadOffer, offered: Offered) -> str:
        """Return what the estimator wrote beside an option."""
        return self.request.texts.options.get((pad.pad.id, offered.option.id), "").strip()


def paragraphs(text: str) -> list[list[str]]:
    r"""Return a text as it was typed: its paragraphs, each by its lines.

    Examples
    --------
    >>> paragraphs("Good day,\nRosa.\n\n\n We saw. ")
    [['Good day,', 'Rosa.'], ['We saw.']]
    """
    found: list[list[str]] = [[]]
    for line in map(str.strip, text.splitlines()):
        if line:
            found[-1].append(line)
        elif found[-1]:
            found.append([])
    return [lines for lines in found if lines]

"""What the estimator decides by hand in an offer: which options it shows, and at which firm price."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from decimal import Decimal

from courtwright.errors import InputError
from courtwright.offer import OfferRequest, shown_options
from courtwright.says import Says, say
from courtwright.verdict.records import Option


def with_choices(
    request: OfferRequest, options: Mapping[str, Collection[str]], reasons: Mapping[str, Mapping[str, str]]
) -> OfferRequest:
    """Return a request that shows the chosen options.

    Parameters
    ----------
    request : OfferRequest
        As it would be written without them.
    options : mapping of str to collection of str
        The options to show, by pad; a pad that is not named is left as it is.
    reasons : mapping of str to mapping of str to str
        By pad and option, why it is shown though a paper would not show it by itself, or is not though it would.

    Raises
    ------
    InputError
        If a chosen option is ruled out or has no price, or a choice that differs has no reason.
    """
    usual = shown_options(request)
    for pad, chosen in options.items():
        for option in chosen:
            _require_possible(request, pad, option)
        # In the order of the verdict, so that the same one is told first each time.
        for option in _known(request, pad):
            is_other = (option in chosen) != (option in usual[pad])
            if is_other and not reasons.get(pad, {}).get(option, "").strip():
                text = "offer.shown-without-reason" if option in chosen else "offer.held-without-reason"
                raise _wrong("options", say(text, pad=pad[:80], option=_title(request, pad, option)), "reason-do")
    return replace(request, options=dict(options))


def with_prices(request: OfferRequest, prices: Mapping[str, Mapping[str, Decimal]]) -> OfferRequest:
    """Return a request in which options have the firm prices that were set by hand.

    Parameters
    ----------
    request : OfferRequest
        With the prices that were reckoned, and the options that were chosen.
    prices : mapping of str to mapping of str to Decimal
        Firm prices by pad and option. [money]

    Raises
    ------
    InputError
        If the option is not offered, or it is a budget letter, which has no firm prices.
    """
    by_hand = {(pad, option): amount for pad, of in prices.items() for option, amount in of.items()}
    if by_hand and request.budget:
        raise _wrong("prices", say("offer.price-in-letter"), "price-in-letter-do")
    shown = shown_options(request)
    for pad, option in by_hand:
        if option not in shown.get(pad, ()):
            says = say("offer.price-not-offered", pad=pad[:80], option=_title(request, pad, option))
            raise _wrong("prices", says, "price-not-offered-do")
    changed = {key: replace(request.prices[key], firm_price=amount) for key, amount in by_hand.items()}
    return replace(request, prices={**request.prices, **changed})


def _require_possible(request: OfferRequest, pad: str, option: str) -> None:
    """Refuse what is ruled out, whatever rule it is: an answer to a fact opens it, a wish does not."""
    found = _known(request, pad).get(option)
    if found is not None and found.state == "ruled out":
        raise _ruled_out(pad, found)
    price = request.prices.get((pad, option))
    if found is None or price is None or price.firm_price <= 0:
        raise _wrong(
            "options", say("offer.option-without-price", pad=pad[:80], option=option[:80]), "option-without-price-do"
        )


def _ruled_out(pad: str, option: Option) -> InputError:
    rules = [because for because in option.because if because.effect == "rules out"] or list(option.because)
    says = say(
        "offer.option-ruled-out",
        pad=pad[:80],
        option=option.title,
        because=rules[0].says if rules else say("offer.not-offered"),
        rule=rules[0].rule if rules else option.id,
    )
    facts = dict.fromkeys(flip.fact for flips in option.opens_if for flip in flips)
    if not facts:
        return _wrong("options", says, "option-ruled-out-do")
    titles = tuple(say(f"facts.{fact}.title") for fact in facts)
    return InputError(says, where="options", fix=say("offer.option-ruled-out-facts-do", facts=titles))


def _known(request: OfferRequest, pad: str) -> dict[str, Option]:
    return {option.id: option for verdict in request.verdict.pads if verdict.id == pad for option in verdict.options}


def _title(request: OfferRequest, pad: str, option: str) -> Says | str:
    found = _known(request, pad).get(option)
    return option[:80] if found is None else found.title


def _wrong(where: str, says: Says, fix: str) -> InputError:
    return InputError(says, where=where, fix=say(f"offer.{fix}"))

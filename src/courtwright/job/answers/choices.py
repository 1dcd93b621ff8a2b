"""What the estimator may choose among, and what a paper would show by itself: never for a customer."""

from __future__ import annotations

from courtwright.offer import OfferRequest, shown_options
from courtwright.trade.words import render
from courtwright.verdict.records import Option

SCHEMA_VERSION = 1


def choices_answer(request: OfferRequest) -> dict[str, object]:
    """Return every option of every pad.

    Parameters
    ----------
    request : OfferRequest
        Before anything was chosen or priced by hand.

    Returns
    -------
    dict
        ``pads``, each with its ``id``, ``recommended`` (what is advised, or None) and
        ``options``: ``id``, ``title``, ``state``, ``is_shown`` (by itself),
        ``firm_price`` as it was reckoned (None without one), and ``because``, what rules it out or is not known.
    """
    shown = shown_options(request)
    return {
        "schema_version": SCHEMA_VERSION,
        "currency": request.currency,
        "pads": [
            {
                "id": pad.id,
                "recommended": pad.recommended,
                "options": [_option(request, pad.id, option, option.id in shown[pad.id]) for option in pad.options],
            }
            for pad in request.verdict.pads
        ],
    }


def _option(request: OfferRequest, pad: str, option: Option, is_shown: bool) -> dict[str, object]:
    price = request.prices.get((pad, option.id))
    decides = ("rules out",) if option.state == "ruled out" else ("unknown",)
    return {
        "id": option.id,
        "title": render(option.title, request.language, request.units),
        "state": option.state,
        "is_shown": is_shown,
        "firm_price": float(price.firm_price) if price is not None and price.firm_price > 0 else None,
        "because": [
            render(because.says, request.language, request.units)
            for because in option.because
            if because.effect in decides
        ],
    }

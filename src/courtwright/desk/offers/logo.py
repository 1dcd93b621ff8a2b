"""The logo of an offer: kept among what its papers were made with, and stays whatever the company shows since."""

from __future__ import annotations

from courtwright.desk.kinds.asked import LOGO
from courtwright.store.rows.offers import Offer


def logo_of(offer: Offer) -> str | None:
    """Return the SHA-256 of the logo that stands on the papers of an offer, or None."""
    return (offer.answers or {}).get(LOGO)

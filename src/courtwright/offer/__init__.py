"""The offer room: draws plans and writes the papers a customer decides from. It computes nothing."""

from courtwright.offer.accepted import Accepted, accepted_pdf
from courtwright.offer.offered import shown_options
from courtwright.offer.photos import shown_photos
from courtwright.offer.plan import plan_svg
from courtwright.offer.request import OfferRequest, OfferTexts
from courtwright.offer.trade_units import trade_unit
from courtwright.offer.writing import offer_files, write_offer

__all__ = [
    "Accepted",
    "OfferRequest",
    "OfferTexts",
    "accepted_pdf",
    "offer_files",
    "plan_svg",
    "shown_options",
    "shown_photos",
    "trade_unit",
    "write_offer",
]

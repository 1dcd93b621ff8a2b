"""Sets the sheet of an accepted offer, which shows its seal.

In: a `parcel` of ``accepted.json``, the fields of `offer.Accepted`, dates and times as ISO, and ``logo.png`` where the
offer shows one; earlier releases asked with the JSON alone. Out: the PDF. Nothing is computed: the sheet says what the
offer said when it was accepted.
"""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

from courtwright.desk.kinds import Told, parcel
from courtwright.desk.kinds.asked import LOGO, RECORD
from courtwright.errors import CallError
from courtwright.offer import Accepted, accepted_pdf
from courtwright.says import say


def run(payload: bytes, told: Told) -> bytes:
    """Return the sheet.

    Raises
    ------
    CallError
        If the record is none of ours.
    InputError
        If the parcel is not whole.
    OutputError
        If the page cannot be set.
    """
    told(0, 1)
    parts = parcel.unpack(payload) if parcel.is_parcel(payload) else {RECORD: payload}
    try:
        given: dict[str, Any] = json.loads(parts[RECORD])
        given["signed_on"] = dt.date.fromisoformat(given["signed_on"]) if given["signed_on"] else None
        given["at"] = dt.datetime.fromisoformat(given["at"])
        accepted = Accepted(**given)
    except (KeyError, TypeError, ValueError) as error:
        raise CallError(say("desk.asked-wrong", name="accepted"), fix=say("desk.asked-wrong-do")) from error
    pdf = accepted_pdf(accepted, parts.get(LOGO, b""))
    told(1, 1)
    return pdf

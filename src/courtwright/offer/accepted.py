"""The sheet of an accepted offer: what is ordered, who agreed to what and when, and the code of the seal.

It is set from what the offer says and was sealed with, never computed again: neither a later release nor later data of
the trade can put another price on it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from courtwright.offer.letterhead import letterhead, logo_picture
from courtwright.offer.typesetting import typeset
from courtwright.says import say
from courtwright.trade.papers import Contractor
from courtwright.trade.words import Language, UnitSystem, render


@dataclass(frozen=True, slots=True)
class Accepted:
    """An accepted offer.

    Parameters
    ----------
    says : mapping
        What the offer says: its ``offer.json``.
    number, revision : int
        Which offer of the job, and which revision of it. [-]
    units : {"us", "metric"}
        The customer's; the paper's size follows them.
    name : str
        Who accepted.
    options : mapping of str to str
        The option that was chosen, by pad.
    consent : str
        The sentence that was agreed to.
    at : datetime
        When it was recorded, with its zone.
    signed_on : date or None
        The date beside a signature on paper; None when it came by the offer's link.
    seal : str
        The code of the seal, as it is printed.
    seal_seq : int
        Place of the seal in the office's chain. [-]
    offer_pdf_sha256 : str
        Of the offer's own pages.
    """

    says: Mapping[str, Any]
    number: int
    revision: int
    units: UnitSystem
    name: str
    options: Mapping[str, str]
    consent: str
    at: dt.datetime
    signed_on: dt.date | None
    seal: str
    seal_seq: int
    offer_pdf_sha256: str

    @property
    def language(self) -> Language:
        """The language of the offer."""
        return self.says["language"]

    def say(self, text: str, **values: object) -> str:
        """Return a text of this room in the offer's language and the customer's units."""
        return render(say(f"offer.{text}", **values), self.language, self.units)

    def date(self, day: dt.date) -> str:
        """Return a date in words."""
        return self.say("date", month=self.say(f"month-{day.month}"), day=day.day, year=day.year)


def accepted_pdf(accepted: Accepted, logo: bytes = b"") -> bytes:
    """Return the sheet of an accepted offer as PDF/UA-1; the same record gives the same bytes.

    Parameters
    ----------
    accepted : Accepted
        What was accepted, by whom and when.
    logo : bytes
        The contractor's as the offer shows it, a PNG; empty without one.

    Raises
    ------
    OutputError
        If the page cannot be set.
    """
    return typeset("accepted", _data(accepted, logo), logo_picture(logo), accepted.at.astimezone(dt.UTC).date())


def _data(accepted: Accepted, logo: bytes) -> dict[str, object]:
    says, kind = accepted.says, accepted.say("accepted-title")
    job = str(says["job"]["name"] or accepted.say("job-unnamed"))
    day = accepted.signed_on or accepted.at.astimezone(dt.UTC).date()
    issued = dt.date.fromisoformat(says["issued_on"])
    of = {"number": accepted.number, "revision": accepted.revision, "date": accepted.date(issued)}
    return {
        "title": accepted.say("document-title", kind=kind, job=job),
        "kind": kind,
        "lang": accepted.language,
        "paper": "us-letter" if accepted.units == "us" else "a4",
        "issued": [day.year, day.month, day.day],
        "dated": accepted.date(day),
        "short": False,
        "made-with": accepted.say("made-with"),
        "page-word": accepted.say("page"),
        "contractor": letterhead(_contractor(accepted), accepted.say, logo),
        "about": _about(accepted, job),
        "lead": accepted.say("accepted-lead", **of),
        "ordered": _ordered(accepted),
        "agreed": {
            "heading": accepted.say("accepted-agreed"),
            "who": _who(accepted),
            "consent": accepted.consent,
        },
        "seal": {
            "heading": accepted.say("accepted-seal"),
            "code": accepted.seal,
            "says": accepted.say("accepted-seal-says", seal=accepted.seal_seq),
            "file": accepted.say("accepted-file", **of),
            "sha256": accepted.offer_pdf_sha256,
        },
    }


def _contractor(accepted: Accepted) -> Contractor:
    who = accepted.says["contractor"]
    return Contractor(who["name"], who["licence"], who["address"], "the offer", who["phone"])


def _about(accepted: Accepted, job: str) -> list[str]:
    address = accepted.says["job"]["address"]
    return [accepted.say("for-job", job=job), *([accepted.say("at-address", address=address)] if address else [])]


def _who(accepted: Accepted) -> str:
    if accepted.signed_on is not None:
        return accepted.say("accepted-signed", name=accepted.name, date=accepted.date(accepted.signed_on))
    at = accepted.at.astimezone(dt.UTC)
    return accepted.say("accepted-by-link", name=accepted.name, date=accepted.date(at.date()), time=f"{at:%H:%M}")


def _ordered(accepted: Accepted) -> dict[str, object]:
    chosen = list(_chosen(accepted))
    rows = [
        [pad, f"{option['letter']}: {option['title']}", _money(accepted, option["firm_price"])]
        for pad, option in chosen
    ]
    if len(chosen) > 1:
        total = sum(option["firm_price"] for _, option in chosen)
        rows.append([accepted.say("accepted-total"), "", _money(accepted, total)])
    left = [pad["id"] for pad in accepted.says["pads"] if pad["options"] and pad["id"] not in accepted.options]
    note = [accepted.say("accepted-rates")]
    for pad, option in chosen:
        if option["stands_if"]:
            note.append(accepted.say("accepted-stands-if", pad=pad, conditions="; ".join(option["stands_if"])))
    if left:
        note.append(accepted.say("accepted-left", pads=", ".join(left)))
    return {
        "heading": accepted.say("accepted-ordered"),
        "head": [accepted.say(f"accepted-{column}") for column in ("pad", "option", "price")],
        "rows": rows,
        "note": " ".join(note),
    }


def _chosen(accepted: Accepted) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Yield each pad with the option that was chosen for it, in the order of the offer."""
    for pad in accepted.says["pads"]:
        for option in pad["options"]:
            if accepted.options.get(pad["id"]) == option["id"]:
                yield pad["id"], option


def _money(accepted: Accepted, amount: float) -> str:
    return accepted.say("money", amount=amount)

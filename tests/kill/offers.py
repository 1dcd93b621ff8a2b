"""Drafts, sends and accepts offers, and looks for each: acceptance, state and seal all there, or none of them."""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import random
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field

from sqlalchemy import Table, func, select

from courtwright.desk.caller import Caller
from courtwright.desk.kinds import parcel
from courtwright.desk.offers.accepting import keys_of
from courtwright.desk.offers.papers import INPUTS, SAYS, attach_papers
from courtwright.desk.office import Office
from courtwright.store import tables
from courtwright.store.rows.offers import Offer as OfferRow
from courtwright.store.seals import verify_seals
from courtwright.store.unit import Unit
from tests.kill.asking import Asking
from tests.kill.walks import Walks

_SITE = b"name = 'Two courts'\n"
_STATES = ("draft", "sent", "accepted")
#: Drafts that wait for their papers. [-]
_MOST = 4


def papers(issued_on: dt.date) -> tuple[bytes, bytes]:
    """Return the smallest site, and papers of it that can be accepted; each a parcel."""
    says = {
        "issued_on": issued_on.isoformat(),
        "expires_on": (issued_on + dt.timedelta(days=3650)).isoformat(),
        "contractor": {"name": "Verrill Courts"},
        "pads": [{"id": "north", "options": [{"id": "resurface"}]}],
    }
    told = {"files": {"site.toml": hashlib.sha256(_SITE).hexdigest()}}
    made = {SAYS: json.dumps(says).encode(), INPUTS: json.dumps(told).encode()}
    return parcel.pack({"site.toml": _SITE}), parcel.pack(made)


@dataclass(slots=True)
class Offer:
    """An offer: what was acknowledged of it."""

    walk_id: str
    key: str = field(default_factory=lambda: str(uuid.uuid4()))
    id: str | None = None
    version: int = 0
    state: str = "draft"
    has_papers: bool = False
    is_unsure: bool = False


@dataclass(slots=True)
class Offers:
    """The offers of one client, on its job."""

    walks: Walks
    issued_on: dt.date
    offers: list[Offer] = field(default_factory=list[Offer])

    def step(self, ask: Asking, chance: random.Random) -> None:
        """Draft an offer, send one or accept one."""
        walk = self.walks.open_walk(ask)
        if walk is None:
            return
        open_ = [one for one in self.offers if one.state != "accepted"]
        ready = [one for one in open_ if one.has_papers or one.id is None or one.is_unsure]
        if ready:
            self._further(ask, chance.choice(ready))
        elif len(open_) < _MOST:
            self.offers.append(Offer(walk.id))
            self._draft(ask, self.offers[-1])

    def _further(self, ask: Asking, offer: Offer) -> None:
        if offer.id is None:
            self._draft(ask, offer)
        elif offer.is_unsure:
            answer = ask("GET", f"/api/offers/{offer.id}")
            if answer is not None:
                self._saw(offer, answer.json())
        elif offer.state == "draft":
            offer.is_unsure = True
            answer = ask("POST", f"/api/offers/{offer.id}/send", None, {"If-Match": f'"{offer.version}"'})
            if answer is not None:
                self._saw(offer, answer.json())
        else:
            self._accept(ask, offer)

    def _draft(self, ask: Asking, offer: Offer) -> None:
        given = {"walk_id": offer.walk_id, "issued_on": self.issued_on.isoformat()}
        path = f"/api/jobs/{self.walks.job_id}/offers"
        answer = ask("POST", path, given, {"Idempotency-Key": offer.key})
        if answer is not None:
            offer.id = answer.json()["id"]
            self._saw(offer, answer.json())

    @staticmethod
    def _saw(offer: Offer, there: Mapping[str, object]) -> None:
        offer.version, offer.state = int(str(there["version"])), str(there["state"])
        offer.has_papers, offer.is_unsure = bool(there["has_papers"]), False

    def _accept(self, ask: Asking, offer: Offer) -> None:
        given = {"options": {"north": "resurface"}, "name": "Ana Ruiz", "signed_on": self.issued_on.isoformat()}
        # The same again is the same acceptance.
        if ask("PUT", f"/api/offers/{offer.id}/acceptance", given) is not None:
            offer.state = "accepted"

    def between(self, office: Office, caller: Caller) -> None:
        """Attach papers to the drafts, as a worker does, while no server runs."""
        site, made = papers(self.issued_on)
        for offer in self.offers:
            if offer.id is not None and not offer.has_papers:
                with office.reading() as unit:
                    version = unit.offers.get(offer.id).version
                attach_papers(office, caller, offer.id, version, site, made, 0)
                offer.has_papers, offer.is_unsure = True, True

    def lost(self, office: Office, *, whole: bool) -> list[str]:
        """Return what is not as it was acknowledged, and what the seals say; with ``whole`` every file is read."""
        with office.reading() as unit:
            found = [one for offer in self.offers for one in _lost(unit, offer)]
            found += [f"seals: {one}" for one in verify_seals(unit, keys_of(office), reads_files=whole)]
        return found


def _lost(unit: Unit, offer: Offer) -> list[str]:
    if offer.id is None:
        return []
    row = unit.offers.find(offer.id)
    if row is None:
        return [f"offer {offer.id} is gone"]
    if _STATES.index(row.state) < _STATES.index(offer.state):
        return [f"offer {offer.id} is {row.state}, was {offer.state}"]
    return _half(unit, row)


def _half(unit: Unit, row: OfferRow) -> list[str]:
    """Return an acceptance that was done in part, or twice."""
    tables_of = {"acceptance": tables.acceptance, "seal": tables.seal}
    counts = {name: _count(unit, table, "offer_id", row.id) for name, table in tables_of.items()}
    counts["paper asked for"] = _count(unit, tables.task, "about", row.id)
    expected = int(row.state == "accepted")
    return [f"offer {row.id} is {row.state} and has {counts}"] if set(counts.values()) != {expected} else []


def _count(unit: Unit, table: Table, column: str, id: str) -> int:
    query = select(func.count()).select_from(table).where(table.c[column] == id)
    return unit.connection.execute(query).scalar_one()

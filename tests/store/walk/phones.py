"""Phones that edit a walk: documents that keep what was typed over, as a phone's do, and send it in envelopes."""

from __future__ import annotations

import datetime as dt
import random
import uuid
from typing import Any

from pycrdt import Doc, Map

from courtwright.store.walk.envelope import Envelope, pack
from courtwright.store.walk.history import Row

NOW = dt.datetime(2026, 4, 16, 9, 30, tzinfo=dt.UTC)
ROOTS = ("walk", "pads", "courts", "marks", "tallies", "shots", "photos", "files", "answers")


class Phone:
    """One phone; `made` holds its updates in order, `typed` what was typed on it."""

    def __init__(self, client: int, roots: tuple[str, ...] = ROOTS) -> None:
        self.id = str(uuid.UUID(int=client))
        self.doc: Doc[Any] = Doc(client_id=client, skip_gc=True)
        self.made: list[bytes] = []
        self.typed: list[object] = []
        self._is_receiving = False
        for root in roots:
            self.doc[root] = Map()
        self.doc.observe(self._keep)

    def _keep(self, event: Any) -> None:
        if not self._is_receiving:
            self.made.append(event.update)

    def root(self, name: str) -> Map[Any]:
        return self.doc.get(name, type=Map)

    def new_item(self, root: str, id: str, values: dict[str, object]) -> None:
        self.root(root)[id] = Map(values)
        self.typed += values.values()

    def set(self, root: str, id: str, field: str, value: object) -> None:
        """Type a value into an item, or into a flat map where the id is empty."""
        (self.root(root)[id] if id else self.root(root))[field] = value
        self.typed.append(value)

    def receive(self, update: bytes) -> None:
        self._is_receiving = True
        try:
            self.doc.apply_update(update)
        finally:
            self._is_receiving = False

    def envelope(self, update: bytes, told_at: dt.datetime = NOW) -> bytes:
        return pack(Envelope(self.id, told_at, update))

    def plain(self) -> dict[str, Any]:
        return {name: self.root(name).to_py() or {} for name in ROOTS if self.root(name).to_py()}


def rows_of(updates: list[bytes]) -> list[Row]:
    """Return updates as rows of one hand."""
    return [Row(seq, update, "N. Verrill", "phone", NOW) for seq, update in enumerate(updates, 1)]


def without_empty(plain: dict[str, object]) -> dict[str, object]:
    return {name: values for name, values in plain.items() if values}


def edited(seed: int, phones: int = 3, steps: int = 60) -> tuple[list[bytes], list[Phone]]:
    """Return the updates of phones that edited a walk by chance, meeting now and then, and the phones."""
    chance = random.Random(seed)
    made: list[bytes] = []
    all_phones = [Phone(chance.getrandbits(30) + 1) for _ in range(phones)]
    for step in range(steps):
        phone = chance.choice(all_phones)
        before = len(phone.made)
        _edit(phone, chance.choice(all_phones), f"v{step}", chance)
        made += phone.made[before:]
    return made, all_phones


def _edit(phone: Phone, other: Phone, text: str, chance: random.Random) -> None:
    there = sorted(phone.root("marks").keys())
    draw = chance.random()
    if draw < 0.2:
        phone.receive(other.doc.get_update(phone.doc.get_state()))
    elif draw < 0.3 or not there:
        phone.new_item("marks", f"m{chance.randrange(3)}", {"mark": text})
    elif draw < 0.35:
        del phone.root("marks")[chance.choice(there)]
    elif draw < 0.45:
        phone.set("walk", "", "name", text)
    elif draw < 0.5 and "name" in phone.root("walk"):
        del phone.root("walk")["name"]
    else:
        phone.set("marks", chance.choice(there), chance.choice("abc"), text)

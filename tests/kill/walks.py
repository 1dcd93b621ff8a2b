"""Sends what was typed on a walk, and looks for each update: in its row, in the document and in the history."""

from __future__ import annotations

import random
import uuid
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import select

from courtwright.desk.office import Office
from courtwright.desk.walks.sync import state_of
from courtwright.store import tables
from courtwright.store.blobs import digest
from courtwright.store.unit import Unit
from courtwright.store.walk.document import merged, plain
from courtwright.store.walk.envelope import Envelope, pack
from courtwright.store.walk.history import history
from tests.kill.asking import Asking
from tests.kill.jobs import opened
from tests.store.walk.phones import NOW, Phone

#: Updates of one walk; then the next one is begun. [-]
LONG = 60


@dataclass(slots=True)
class Walk:
    """A walk with all that will be typed on it: how much of it was sent, and how much was acknowledged."""

    id: str
    device: str
    updates: Sequence[bytes]
    values: Sequence[object]
    is_begun: bool = False
    sent: int = 0
    acknowledged: int = 0


def typed(seed: int) -> Walk:
    """Return a new walk; each of its updates brings one value."""
    chance = random.Random(seed)
    phone = Phone(chance.getrandbits(30) + 1)
    marks: list[str] = []
    for number in range(LONG):
        if not marks or chance.random() < 0.4:
            marks.append(str(uuid.UUID(int=chance.getrandbits(128))))
            phone.new_item("marks", marks[-1], {"mark": f"value {number}"})
        else:
            phone.set("marks", chance.choice(marks), chance.choice(("width", "depth", "note")), f"value {number}")
    assert len(phone.made) == len(phone.typed) == LONG
    return Walk(str(uuid.UUID(int=chance.getrandbits(128), version=4)), phone.id, phone.made, phone.typed)


@dataclass(slots=True)
class Walks:
    """The walks of one client, all of one job."""

    seed: int
    key: str = field(default_factory=lambda: str(uuid.uuid4()))
    job_id: str | None = None
    walks: list[Walk] = field(default_factory=list[Walk])
    #: Number of the first walk that was sent to since it was last looked at.
    fresh: int = 0

    def step(self, ask: Asking, chance: random.Random) -> None:
        """Send some updates; now and then also some that were sent before."""
        walk = self.open_walk(ask)
        if walk is None:
            return
        upto = min(LONG, walk.acknowledged + chance.randint(1, 6))
        again = range(chance.randrange(walk.acknowledged + 1), walk.acknowledged) if chance.random() < 0.2 else ()
        numbers = [*again, *range(walk.acknowledged, upto)]
        body = b"".join(pack(Envelope(walk.device, NOW, walk.updates[number])) for number in numbers)
        walk.sent = max(walk.sent, upto)
        if ask("POST", f"/api/walks/{walk.id}/updates", body) is not None:
            walk.acknowledged = upto

    def open_walk(self, ask: Asking) -> Walk | None:
        """Return a walk that is begun and not at its end."""
        if self.job_id is None:
            job = opened(ask, self.key, "walked")
            if job is None:
                return None
            self.job_id = job.id
        if not self.walks or self.walks[-1].acknowledged == LONG:
            self.walks.append(typed(self.seed + len(self.walks)))
        walk = self.walks[-1]
        if not walk.is_begun:
            # Asked for again under its own id, it is the same walk.
            walk.is_begun = ask("POST", f"/api/jobs/{self.job_id}/walks", {"id": walk.id}) is not None
        return walk if walk.is_begun else None

    def lost(self, office: Office, *, whole: bool) -> list[str]:
        """Return what is not as it was acknowledged: of the walks that were sent to lately, or of all."""
        looked_at = [walk for walk in self.walks[0 if whole else self.fresh :] if walk.is_begun]
        with office.reading() as unit:
            found = [one for walk in looked_at for one in _lost(unit, walk)]
        self.fresh = max(0, len(self.walks) - 1)
        return found


def _lost(unit: Unit, walk: Walk) -> list[str]:
    if unit.walks.find(walk.id) is None:
        return [f"walk {walk.id} is gone"]
    rows = list(unit.updates.rows(walk.id))
    there, count = [digest(row.update) for row in rows], len(rows)
    table = tables.walk_update.c
    query = select(table.sha256).where(table.walk_id == walk.id).order_by(table.seq)
    kept = list(unit.connection.execute(query).scalars())
    if not walk.acknowledged <= count <= walk.sent:
        return [f"walk {walk.id} has {count} updates, {walk.acknowledged} acknowledged, {walk.sent} sent"]
    expected = [digest(update) for update in walk.updates[:count]]
    if not there == kept == expected:
        return [f"updates of walk {walk.id} are others than were sent, or doubled"]
    document = _document(walk.updates[:count])
    if count and not _document([row.update for row in rows]) == document == plain(state_of(unit, walk.id).state):
        return [f"the document of walk {walk.id} is not what its updates make"]
    told = {str(entry.after) for entry in history(rows)}
    return [f"{value} is not in the history of walk {walk.id}" for value in walk.values[:count] if value not in told]


def _document(updates: Sequence[bytes]) -> dict[str, Any]:
    return plain(merged(updates)) if updates else {}

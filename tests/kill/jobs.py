"""Opens and changes jobs, and looks for each: there, once, as it was acknowledged, with its whole history."""

from __future__ import annotations

import random
import uuid
from collections import Counter
from dataclasses import dataclass, field

from sqlalchemy import func, select

from courtwright.desk.office import Office
from courtwright.store import tables
from tests.kill.asking import Asking


@dataclass(slots=True)
class Job:
    """A job as it was acknowledged, and what was asked for last."""

    id: str
    version: int
    name: str
    asked: str | None = None

    def is_known(self, version: int, name: str) -> bool:
        """Tell whether a row is what was acknowledged, or the one change that was asked for and not answered."""
        return (version, name) == (self.version, self.name) or (version, name) == (self.version + 1, self.asked)


def opened(ask: Asking, key: str, name: str) -> Job | None:
    """Open a job under a key: with the same key it is the same job, however often this is asked."""
    answer = ask("POST", "/api/jobs", {"name": name}, {"Idempotency-Key": key})
    return None if answer is None else Job(answer.json()["id"], answer.json()["version"], name)


@dataclass(slots=True)
class Jobs:
    """The jobs of one client, which nobody else changes."""

    jobs: dict[str, Job] = field(default_factory=dict[str, Job])
    #: Asked for and never answered: by idempotency key.
    unanswered: dict[str, str] = field(default_factory=dict[str, str])
    names: list[str] = field(default_factory=list[str])
    #: Changed since they were last looked for.
    fresh: set[str] = field(default_factory=set[str])

    def step(self, ask: Asking, chance: random.Random) -> None:
        """Open a job or change one."""
        if self.jobs and chance.random() < 0.6:
            self._change(ask, self.jobs[chance.choice(list(self.jobs))])
        else:
            self._open(ask)

    def _open(self, ask: Asking) -> None:
        # What was never answered is asked again with its key: it must not be done twice.
        key = next(iter(self.unanswered), str(uuid.uuid4()))
        name = self.unanswered.setdefault(key, f"job {key}")
        made = opened(ask, key, name)
        if made is not None:
            del self.unanswered[key]
            self.jobs[made.id] = made
            self.names.append(name)
            self.fresh.add(made.id)

    def _change(self, ask: Asking, job: Job) -> None:
        if job.asked is not None:
            # Whether it was done is to be seen before anything else is asked of it.
            answer = ask("GET", f"/api/jobs/{job.id}")
            if answer is None:
                return
            job.version, job.name, job.asked = answer.json()["version"], answer.json()["name"], None
        job.asked = f"name {uuid.uuid4()}"
        self.fresh.add(job.id)
        answer = ask("PATCH", f"/api/jobs/{job.id}", {"name": job.asked}, {"If-Match": f'"{job.version}"'})
        if answer is not None:
            job.version, job.name, job.asked = answer.json()["version"], answer.json()["name"], None

    def lost(self, office: Office, *, whole: bool) -> list[str]:
        """Return what is not as it was acknowledged: of what was changed lately, or of everything."""
        ids = set(self.jobs) if whole else self.fresh
        change, found = tables.change.c, list[str]()
        with office.reading() as unit:
            rows = {id: unit.jobs.find(id) for id in sorted(ids)}
            counted = select(change.id, func.count()).where(change.record == "job").group_by(change.id)
            written = {id: number for id, number in unit.connection.execute(counted).all() if id in ids}
            names = Counter(unit.connection.execute(select(tables.job.c.name)).scalars())
        for id, row in rows.items():
            job = self.jobs[id]
            if row is None:
                found.append(f"job {id} is gone")
            elif not job.is_known(row.version, row.name):
                found.append(f"job {id} is {row.version} {row.name!r}, was {job}")
            elif written.get(id) != row.version:
                found.append(f"job {id} has {written.get(id)} changes written down and version {row.version}")
        found += [f"{name} was opened twice" for name in [*self.names, *self.unanswered.values()] if names[name] > 1]
        self.fresh.clear()
        return found

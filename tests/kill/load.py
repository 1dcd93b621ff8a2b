"""Clients that open and change jobs as fast as they are answered, and remember what was acknowledged."""

from __future__ import annotations

import http.client
import json
import random
import threading
import uuid
from dataclasses import dataclass, field

#: What a connection does when its server dies: the request may or may not have been done.
_GONE = (OSError, http.client.HTTPException)


@dataclass(slots=True)
class Job:
    """A job as one client knows it: what was acknowledged, and what it asked for last."""

    id: str
    version: int
    name: str
    asked: str | None = None


@dataclass(slots=True)
class Client:
    """One client; it changes only jobs of its own, so that it knows what each must be."""

    seed: int
    jobs: dict[str, Job] = field(default_factory=dict[str, Job])
    #: Asked for and never answered: by idempotency key.
    unanswered: dict[str, str] = field(default_factory=dict[str, str])
    answered: int = 0
    refused: list[tuple[int, bytes]] = field(default_factory=list[tuple[int, bytes]])

    def run(self, port: int, stop: threading.Event) -> None:
        """Ask until the server is gone or it is told to stop."""
        chance = random.Random(self.seed)
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
        try:
            while not stop.is_set():
                self._ask(connection, chance)
        except _GONE:
            return
        finally:
            connection.close()

    def _ask(self, connection: http.client.HTTPConnection, chance: random.Random) -> None:
        if self.jobs and chance.random() < 0.6:
            self._change(connection, self.jobs[chance.choice(list(self.jobs))])
        else:
            self._open(connection)

    def _open(self, connection: http.client.HTTPConnection) -> None:
        # What was never answered is asked again with its key: it must not be done twice.
        key = next(iter(self.unanswered), str(uuid.uuid4()))
        name = self.unanswered.setdefault(key, f"job {key}")
        status, body = _call(connection, "POST", "/api/jobs", {"name": name}, {"Idempotency-Key": key})
        if status == 201:
            made = json.loads(body)
            del self.unanswered[key]
            self.jobs[made["id"]] = Job(made["id"], made["version"], made["name"])
            self.answered += 1
        else:
            self.refused.append((status, body))

    def _change(self, connection: http.client.HTTPConnection, job: Job) -> None:
        if job.asked is not None:
            # Whether it was done is to be seen before anything else is asked of it.
            status, body = _call(connection, "GET", f"/api/jobs/{job.id}", None, {})
            if status != 200:
                self.refused.append((status, body))
                return
            there = json.loads(body)
            job.version, job.name, job.asked = there["version"], there["name"], None
        job.asked = f"name {uuid.uuid4()}"
        tag = {"If-Match": f'"{job.version}"'}
        status, body = _call(connection, "PATCH", f"/api/jobs/{job.id}", {"name": job.asked}, tag)
        if status == 200:
            there = json.loads(body)
            job.version, job.name, job.asked = there["version"], there["name"], None
            self.answered += 1
        else:
            self.refused.append((status, body))


def _call(
    connection: http.client.HTTPConnection, method: str, path: str, body: object, headers: dict[str, str]
) -> tuple[int, bytes]:
    data = None if body is None else json.dumps(body).encode()
    connection.request(method, path, data, {"Content-Type": "application/json", **headers})
    answer = connection.getresponse()
    return answer.status, answer.read()

"""The peer of the service: the same requests on FastAPI and SQLite with nothing around them.

No history, no versions, no sessions, no problems, no guards: a row is a name and an address, and it is on the disk when
it is answered. Run as ``python -m benchmarks.bare DATABASE`` it prints its port.
"""

from __future__ import annotations

import socket
import sqlite3
import sys
import threading
import uuid

import uvicorn
from fastapi import FastAPI, HTTPException
from pydantic import BaseModel


class Job(BaseModel):
    """A job."""

    id: str = ""
    name: str = ""
    address: str = ""


def bare_app(database: str) -> FastAPI:
    """Return the app, on a database file."""
    app, own, turn = FastAPI(), threading.local(), threading.Lock()

    def connection() -> sqlite3.Connection:
        if not hasattr(own, "connection"):
            own.connection = sqlite3.connect(database, isolation_level=None, check_same_thread=False)
            own.connection.execute("PRAGMA journal_mode = WAL")
            own.connection.execute("PRAGMA synchronous = FULL")
        return own.connection

    connection().execute("CREATE TABLE job (id TEXT PRIMARY KEY, name TEXT, address TEXT, at INTEGER)")
    connection().execute("CREATE INDEX job_at ON job (at, id)")

    @app.get("/api/jobs")
    def jobs(most: int = 50) -> list[Job]:
        rows = connection().execute("SELECT id, name, address FROM job ORDER BY at DESC, id DESC LIMIT ?", (most,))
        return [Job(id=id, name=name, address=address) for id, name, address in rows]

    @app.get("/api/jobs/{id}")
    def job(id: str) -> Job:
        row = connection().execute("SELECT id, name, address FROM job WHERE id = ?", (id,)).fetchone()
        if row is None:
            raise HTTPException(404)
        return Job(id=row[0], name=row[1], address=row[2])

    @app.post("/api/jobs", status_code=201)
    def add(given: Job) -> Job:
        given.id = str(uuid.uuid4())
        with turn:
            connection().execute(
                "INSERT INTO job SELECT ?, ?, ?, coalesce(max(at), 0) + 1 FROM job",
                (given.id, given.name, given.address),
            )
        return given

    return app


def main() -> None:
    """Serve until killed."""
    app = bare_app(sys.argv[1])
    listening = socket.create_server(("127.0.0.1", 0), backlog=512)
    sys.stdout.write(f"{listening.getsockname()[1]}\n")
    sys.stdout.flush()
    uvicorn.Server(uvicorn.Config(app, log_level="critical", lifespan="off", http="h11")).run(sockets=[listening])


if __name__ == "__main__":
    main()

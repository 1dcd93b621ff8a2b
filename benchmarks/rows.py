"""The rows that a run measures, and where they are kept until the documents' tables are made of them."""

from __future__ import annotations

import datetime as dt
import json
import os
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

#: Left out by git: rows are of one machine. `scripts/bench_table.py` makes the tables of it.
FILE = Path(__file__).parents[1] / ".benchmarks" / "rows.json"


@dataclass(frozen=True, slots=True)
class Comparison:
    """One row of the table at the end: what was timed, beside what, and what was asked.

    Parameters
    ----------
    what, peer : str
        What was timed, and the peer with its version.
    ours, theirs : float
        Best time of each. [s]
    most : float
        The largest allowed ``ours / theirs``. [-]
    """

    what: str
    peer: str
    ours: float
    theirs: float
    most: float

    @property
    def ratio(self) -> float:
        """Ours over theirs; below 1 ours is the faster. [-]"""
        return self.ours / self.theirs


@dataclass(frozen=True, slots=True)
class Kept:
    """One row of the table of limits: what was timed, its best time and the longest it may take [s], memory [bytes]."""

    what: str
    took: float
    limit: float
    held: float | None = None


def record(compared: Sequence[Comparison], kept: Sequence[Kept]) -> None:
    """Keep rows by what was timed, with the day and the load of the machine at the end; older ones go."""
    if not compared and not kept:
        return
    known = read()
    when = {"on": dt.datetime.now(tz=dt.UTC).date().isoformat(), "load": round(os.getloadavg()[1], 1)}
    for row in (*compared, *kept):
        known[row.what] = asdict(row) | when
    FILE.parent.mkdir(exist_ok=True)
    FILE.write_text(json.dumps(known, indent=1, ensure_ascii=False), encoding="utf-8")


def read() -> dict[str, dict[str, float | str | None]]:
    """Return what is kept, by what was timed; nothing before the first run."""
    return json.loads(FILE.read_text(encoding="utf-8")) if FILE.exists() else {}

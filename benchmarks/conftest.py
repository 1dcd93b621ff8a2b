"""Times ours and a peer in the same run, and prints how they compare when the run ends."""

from __future__ import annotations

import math
import os
import time
from collections.abc import Callable

import pytest
from benchmarks.crowd import Crowd
from benchmarks.rows import Comparison, Kept, record
from pytest_benchmark.fixture import BenchmarkFixture

# One core for the linear algebra of ours and of the peers alike: on a busy machine threads that wait for each other
# would be timed. Read when numpy loads, by the commands that are timed too.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


_CROWDS = pytest.StashKey[list[Crowd]]()
_ROWS = pytest.StashKey[list[Comparison]]()
_KEPT = pytest.StashKey[list[Kept]]()


def best_of(call: Callable[[], object], rounds: int) -> float:
    """Return the shortest of several timings of a call. [s]"""
    best = math.inf
    for _ in range(rounds):
        start = time.perf_counter()
        call()
        best = min(best, time.perf_counter() - start)
    return best


@pytest.fixture
def beside(
    request: pytest.FixtureRequest, benchmark: BenchmarkFixture
) -> Callable[[str, Callable[[], object], str, Callable[[], object] | float, float], Comparison]:
    """Return a function that times ours and a peer, keeps the row and holds the ratio to its limit."""
    rows = request.config.stash.setdefault(_ROWS, [])

    def compare(
        what: str,
        ours: Callable[[], object],
        peer: str,
        theirs: Callable[[], object] | float,
        most: float,
        rounds: int = 5,
        warmup: int = 1,
    ) -> Comparison:
        benchmark.pedantic(ours, rounds=rounds, warmup_rounds=warmup)
        stats = benchmark.stats
        assert stats is not None
        # A peer that would take too long is timed on a part by the caller, who says so in its name.
        took = theirs if isinstance(theirs, float) else best_of(theirs, rounds)
        row = Comparison(what, peer, stats.stats.min, took, most)
        rows.append(row)
        assert row.ratio <= most, f"{what}: {row.ratio:.2f} times {peer}, at most {most:g} allowed"
        return row

    return compare


@pytest.fixture
def within(request: pytest.FixtureRequest, benchmark: BenchmarkFixture) -> Callable[..., Kept]:
    """Return a function that times ours where there is no peer, keeps the row and holds it to its limit."""
    rows = request.config.stash.setdefault(_KEPT, [])

    def keep(
        what: str,
        ours: Callable[[], object],
        limit: float,
        rounds: int = 3,
        setup: Callable[[], None] | None = None,
        held: Callable[[], float] | None = None,
    ) -> Kept:
        benchmark.pedantic(ours, setup=setup, rounds=rounds)
        stats = benchmark.stats
        assert stats is not None
        row = Kept(what, stats.stats.min, limit, held() if held else None)
        rows.append(row)
        assert row.took < limit, f"{what}: {row.took:.2f} s, at most {limit:g} s allowed"
        return row

    return keep


@pytest.fixture
def crowds(request: pytest.FixtureRequest) -> list[Crowd]:
    """Return the rows of waits, to add to."""
    return request.config.stash.setdefault(_CROWDS, [])


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Keep the rows for the tables of the documents."""
    stash = session.config.stash
    record(stash.get(_ROWS, []), stash.get(_KEPT, []))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """Print ours beside the peers, and beside the limits where there is no peer."""
    rows = config.stash.get(_ROWS, [])
    if rows:
        terminalreporter.section("beside a peer, same run")
    for row in rows:
        times = f"{row.ours * 1000:10.1f} ms  {row.theirs * 1000:10.1f} ms"
        terminalreporter.write_line(f"{row.what:<34}{times}  {row.ratio:6.2f} (at most {row.most:g})  {row.peer}")
    kept = config.stash.get(_KEPT, [])
    if kept:
        terminalreporter.section("beside its limit")
    for row in kept:
        terminalreporter.write_line(f"{row.what:<50}{row.took:8.3f} s  (at most {row.limit:g} s)")
    crowds = config.stash.get(_CROWDS, [])
    if crowds:
        terminalreporter.section("waits of many users, ours beside a peer, same run")
    for row in crowds:
        waits = "  ".join(
            f"{row.quantile(side, share) * 1000:8.1f} ms" for side in (row.ours, row.theirs) for share in (0.5, 0.99)
        )
        numbers = f"{len(row.ours)} and {len(row.theirs)} requests"
        terminalreporter.write_line(f"{row.what:<10} p50, p99: {waits}  {row.ratio:6.2f}  {numbers}  {row.peer}")

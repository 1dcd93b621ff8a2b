"""Work in other processes: its results, and that nothing it does hurts whoever asked for it."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from courtwright.desk.workers import (
    WorkerDiedError,
    WorkerPool,
    WorkFaultError,
    WorkLargeError,
    WorkLateError,
    WorkStoppedError,
)
from courtwright.desk.workers.child import answer
from courtwright.errors import ArchiveError, BusyError, CallError, InputError
from courtwright.says import say
from courtwright.site import NothingLeftError
from courtwright.trade.words import render
from tests.places import ROOT

HOME = "tests.desk.trial"


@pytest.fixture(scope="module")
def pool() -> Iterator[WorkerPool]:
    with WorkerPool(1, 20.0, home=HOME) as made:
        yield made


def is_alive(pid: int) -> bool:
    """Tell whether a process runs; one that nobody has asked after yet has ended all the same."""
    try:
        state = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()[0]
    except OSError:
        return False
    return state not in "ZX"


def within(seconds: float, holds: Callable[[], bool]) -> bool:
    until = time.monotonic() + seconds
    while not holds() and time.monotonic() < until:
        time.sleep(0.01)
    return holds()


def is_usable(pool: WorkerPool) -> bool:
    return pool.run("echo", b"again").endswith(b" again")


# --- laws ---------------------------------------------------------------------------------------


def test_twenty_calls_are_served_by_one_process(pool: WorkerPool):
    """A worker stays warm, also where another stands beside it."""
    assert len({pool.run("echo", b"") for _ in range(20)}) == 1
    with WorkerPool(2, 20.0, home=HOME) as two:
        assert len({two.run("echo", b"") for _ in range(20)}) == 1


@pytest.mark.parametrize("size", [0, 1, 100_000, 20_000_000])
def test_bytes_come_back_as_they_were_sent(size: int, pool: WorkerPool):
    """Whatever their number, beyond what a pipe holds."""
    payload = os.urandom(1024) * (size // 1024) + b"\0" * (size % 1024)
    assert pool.run("echo", payload).partition(b" ")[2] == payload


def test_steps_are_told_in_the_callers_thread_and_the_last_one_always(pool: WorkerPool):
    """Quick steps are not all told; none goes back, and the last is there."""
    told: list[tuple[int, int]] = []
    threads: set[int] = set()

    def note(done: int, of: int) -> None:
        told.append((done, of))
        threads.add(threading.get_ident())

    assert pool.run("nap", b"20", note) == b"rested"
    assert threads == {threading.get_ident()}
    assert told == sorted(told)
    assert told[-1] == (20, 20)
    assert 2 < len(told) < 20


def test_workers_work_side_by_side():
    """Each of two calls is in its midst while the other is: both tell a step before either goes on."""
    met, found = threading.Barrier(2, timeout=10.0), list[bytes]()

    def meet(done: int, of: int) -> None:
        if done == 0:
            met.wait()

    with WorkerPool(2, 20.0, home=HOME) as two:
        run_all([threading.Thread(target=lambda: found.append(two.run("nap", b"5", meet))) for _ in range(2)])
    assert found == [b"rested", b"rested"]


def run_all(threads: list[threading.Thread]) -> None:
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def test_more_calls_than_workers_wait_their_turn(pool: WorkerPool):
    """Six threads, one worker: six answers."""
    found: list[bytes] = []
    run_all([threading.Thread(target=lambda: found.append(pool.run("echo", b"x"))) for _ in range(6)])
    assert len(found) == 6


def test_a_worker_that_has_served_its_calls_is_replaced():
    """Two calls each: five calls see three processes, and no more than one at a time."""
    with WorkerPool(1, 20.0, home=HOME, most_calls=2) as few:
        seen = [few.run("echo", b"") for _ in range(5)]
        assert len(few.pids) == 1
    assert [len(set(seen[at : at + 2])) for at in (0, 2)] == [1, 1]
    assert len(set(seen)) == 3


def test_the_pool_loads_no_room_in_the_process_that_asks():
    """A server that hands work over stays small: no geometry, no statistics, no typesetting."""
    code = (
        "import sys\nimport courtwright.desk.workers\nfrom courtwright.desk.kinds import KINDS, asked, parcel\n"
        "heavy = {'numpy', 'scipy', 'shapely', 'pint', 'PIL', 'typst', 'courtwright.site', 'courtwright.job'}\n"
        "assert not heavy & sys.modules.keys(), heavy & sys.modules.keys()\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_closing_leaves_no_process():
    """Idle workers and busy ones; a call in the midst of its work is told, and closing twice is closing."""
    pool = WorkerPool(2, 20.0, home=HOME)
    pool.run("echo", b"")
    pids = pool.pids
    told: list[type[Exception]] = []

    def rest() -> None:
        try:
            pool.run("nap", b"2000")
        except WorkStoppedError as error:
            told.append(type(error))

    thread = threading.Thread(target=rest)
    thread.start()
    time.sleep(0.2)
    before = time.monotonic()
    pool.close()
    thread.join()
    pool.close()
    assert time.monotonic() - before < 2.0
    assert told == [WorkStoppedError]
    assert pool.pids == ()
    assert not any(Path(f"/proc/{pid}").exists() for pid in pids)  # gone, and reaped
    with pytest.raises(WorkStoppedError):
        pool.run("echo", b"")


def test_closing_with_patience_lets_a_call_finish():
    """What takes half a second has two."""
    pool = WorkerPool(1, 20.0, home=HOME)
    found: list[bytes] = []
    thread = threading.Thread(target=lambda: found.append(pool.run("nap", b"50")))
    thread.start()
    time.sleep(0.3)
    pool.close(patience=5.0)
    thread.join()
    assert found == [b"rested"]


# --- refusals -----------------------------------------------------------------------------------


def test_a_cancel_ends_the_process_within_a_second(pool: WorkerPool):
    """The work is in the midst of a long step; its process is gone, and the slot is good for the next."""
    assert is_usable(pool)
    (pid,) = pool.pids
    stop = threading.Event()
    timer = threading.Timer(0.2, stop.set)
    timer.start()
    before = time.monotonic()
    with pytest.raises(WorkStoppedError):
        pool.run("nap", b"3000", stop=stop)
    assert time.monotonic() - before < 1.2
    assert not is_alive(pid)
    assert is_usable(pool)


def test_what_is_cancelled_before_it_begins_does_not_begin(pool: WorkerPool):
    """No worker is spent on it."""
    assert is_usable(pool)
    pids, stop = pool.pids, threading.Event()
    stop.set()
    with pytest.raises(WorkStoppedError):
        pool.run("echo", b"", stop=stop)
    assert pool.pids == pids


def test_a_call_that_takes_too_long_is_ended(pool: WorkerPool):
    """The time is that of the call; the sentence names it."""
    before = time.monotonic()
    with pytest.raises(WorkLateError) as late:
        pool.run("nap", b"3000", most_seconds=0.3)
    assert time.monotonic() - before < 2.0
    assert "0.3" in render(late.value.problem)
    assert is_usable(pool)


@pytest.mark.parametrize(("way", "code"), [("SIGKILL", -9), ("SIGSEGV", -11), ("SIGABRT", -6), ("exit", 7)])
def test_a_worker_that_dies_is_told_and_replaced(way: str, code: int, pool: WorkerPool):
    """Killed, crashed in a library, out of the system's memory: the caller is told, the next is served."""
    with pytest.raises(WorkerDiedError) as died:
        pool.run("end", way.encode())
    assert died.value.exit_code == code
    assert render(died.value.problem)
    assert is_usable(pool)


def test_a_worker_that_died_while_idle_is_replaced_unseen(pool: WorkerPool):
    """The next call is served by another."""
    assert is_usable(pool)
    (pid,) = pool.pids
    os.kill(pid, signal.SIGKILL)
    assert within(2.0, lambda: not is_alive(pid))
    assert is_usable(pool)
    assert pool.pids != (pid,)


def test_a_worker_that_died_at_its_start_is_replaced_unseen():
    """Nothing of the call had begun, so that nobody need know."""
    with WorkerPool(1, 20.0, home=HOME) as fresh:
        (pid,) = fresh.pids
        os.kill(pid, signal.SIGKILL)
        assert within(2.0, lambda: not is_alive(pid))
        assert is_usable(fresh)


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_worker_leaves_signals_to_its_parent(number: signal.Signals, pool: WorkerPool):
    """What a terminal sends to all is for the parent to decide."""
    assert pool.run("end", number.name.encode()) == b"still here"


def test_a_worker_takes_no_more_memory_than_it_may():
    """What fits is given, what does not is told, and the next call has a fresh worker."""
    with WorkerPool(1, 20.0, home=HOME, most_bytes=1_000_000_000) as small:
        assert small.run("grow", b"100") == b"100000000"
        before = small.pids
        with pytest.raises(WorkLargeError):
            small.run("grow", b"2000")
        assert is_usable(small)
        assert small.pids != before


def test_what_a_kind_refuses_comes_back_as_itself(pool: WorkerPool):
    """The class, the sentence with its values, the place and what to do; odd values become texts."""
    with pytest.raises(ArchiveError) as archive:
        pool.run("fail", b"archive")
    assert archive.value.where == "walk.zip"
    with pytest.raises(BusyError):
        pool.run("fail", b"busy")
    with pytest.raises(InputError) as refused:
        pool.run("fail", b"value")
    assert type(refused.value) is InputError
    problem = refused.value.problem
    assert problem.values["width"] == 0.5
    assert problem.values["all"] == (1, "two", say("words.heave"))
    assert problem.values["inside"] == say("words.crack", depth="inf")
    assert (problem.values["day"], problem.values["none"]) == ("2026-04-11", None)
    assert problem.values["odd"] == "Unsayable"
    assert len(str(problem.values["long"])) < 10_000
    assert refused.value.fix == say("site.nothing-left-do")


def test_complaints_come_with_the_refusal(pool: WorkerPool):
    """A site of which nothing is left still tells every wrong place."""
    with pytest.raises(NothingLeftError) as refused:
        pool.run("fail", b"complaints")
    (wrong,) = refused.value.complaints
    assert (wrong.file, wrong.at, wrong.code, wrong.weight) == ("marks.geojson", "feature 3", "few-points", "error")
    assert render(wrong.says) == render(say("site.photo-broken"))


@pytest.mark.parametrize(
    ("what", "names"),
    [
        ("zero", "ZeroDivisionError: by nought"),
        ("silent", "SilentError"),
        ("held", "HeldError"),
        ("interrupt", "KeyboardInterrupt"),
        ("deep", "RecursionError"),
        ("surrogate", "ValueError"),
        ("damaged", "NoneType is no sentence"),
        ("not bytes", "returned str"),
    ],
)
def test_a_fault_is_told_without_its_details(what: str, names: str, pool: WorkerPool):
    """Whatever is raised: one sentence for people, the details for the log, and the worker goes on."""
    (pid,) = pool.pids
    with pytest.raises(WorkFaultError) as fault:
        pool.run("fail", what.encode())
    assert names in fault.value.detail
    assert names not in render(fault.value.problem) + str(fault.value)
    assert is_usable(pool)
    assert pool.pids == (pid,)


@pytest.mark.parametrize(("kind", "names"), [("unloadable", "a library is missing"), ("no_such_kind", "no_such_kind")])
def test_a_kind_that_cannot_be_loaded_is_a_fault(kind: str, names: str):
    """Told to whoever calls it, even where workers should have loaded it before; the others are served."""
    with WorkerPool(1, 20.0, home=HOME, warm=(kind, "echo")) as cold:
        with pytest.raises(WorkFaultError) as fault:
            cold.run(kind, b"")
        assert names in fault.value.detail
        assert is_usable(cold)


@pytest.mark.parametrize("kind", ["", "../echo", "os.path", "Echo", "echo\n", "a" * 10 + "-"])
def test_a_name_that_leaves_the_kinds_is_refused(kind: str, pool: WorkerPool):
    """A name is a name, not a way."""
    with pytest.raises(CallError):
        pool.run(kind, b"")
    assert is_usable(pool)


def test_a_listener_that_fails_costs_its_worker_and_nothing_else(pool: WorkerPool):
    """The caller's own error comes through; the half-done work is ended."""
    with pytest.raises(LookupError):
        pool.run("nap", b"500", told=lambda done, of: {}[done])
    assert is_usable(pool)


def test_an_exit_within_a_call_is_a_fault():
    """In this process: the answer of a call is a message, whatever the kind does."""
    sent: list[bytes] = []
    assert answer(f"{HOME}.end", b"sys.exit", sent.append).startswith(b"f")
    assert answer(f"{HOME}.echo", b"x", sent.append).startswith(b"r")
    assert len(sent) == 1


# --- the end of the parent ----------------------------------------------------------------------


@contextmanager
def parent(patience: float) -> Iterator[tuple[subprocess.Popen[str], list[int]]]:
    """Give a program with two workers, one of them busy; and these."""
    program = subprocess.Popen(
        [sys.executable, "-m", "tests.desk.trial.parent", str(patience)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    with program:
        try:
            assert program.stdout is not None
            pids = [int(pid) for pid in program.stdout.readline().split()]
            assert program.stdout.readline() == "busy\n"
            assert len(pids) == 2
            assert all(map(is_alive, pids))
            yield program, pids
        finally:
            program.kill()


def test_a_parent_that_is_killed_leaves_no_worker():
    """No farewell is possible after SIGKILL; the idle worker and the busy one end within two seconds."""
    with parent(0.0) as (program, pids):
        program.kill()
        assert within(2.0, lambda: not any(map(is_alive, pids)))


@pytest.mark.parametrize(
    ("number", "patience", "last"), [(signal.SIGINT, 10.0, "rested"), (signal.SIGTERM, 0.0, "work-stopped")]
)
def test_a_signal_to_the_whole_group_is_answered_by_the_parent(number: int, patience: float, last: str):
    """Ctrl-C, or a service manager's stop: the call finishes or is stopped as the parent wishes, nobody complains."""
    with parent(patience) as (program, pids):
        os.killpg(program.pid, number)
        told, complained = program.communicate(timeout=10)
    assert told.splitlines() == [last, "closed"]
    assert complained == ""
    assert program.returncode == 0
    assert not any(map(is_alive, pids))


def test_a_program_that_forgets_to_close_ends_all_the_same():
    """Workers ignore the signals by which an interpreter ends its children; it must not wait for them for ever."""
    code = (
        "from courtwright.desk.workers import WorkerPool\n"
        f"pool = WorkerPool(2, 9.0, home='{HOME}')\nassert pool.run('echo', b'x').endswith(b'x')\nprint(*pool.pids)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, timeout=10, check=True
    )
    assert done.stderr == ""
    assert not any(is_alive(int(pid)) for pid in done.stdout.split())

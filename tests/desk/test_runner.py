"""Long work as it is done: to its end, stopped, died over, left behind by a server, and never twice."""

from __future__ import annotations

import contextlib
import dataclasses
import datetime as dt
import os
import signal
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest

from courtwright.desk.office import Office
from courtwright.desk.work.runner import MOST_TRIES, Pace, Runner
from courtwright.desk.work.tasks import Work, ask_for, plain_problem, problem_error, stop_task, task
from courtwright.desk.workers import WorkerPool, WorkFaultError
from courtwright.errors import ConflictError, CourtwrightError
from courtwright.says import say
from courtwright.store.hand import MACHINE
from courtwright.store.rows.tasks import Task
from courtwright.store.unit import Unit
from courtwright.trade.words import render
from tests.desk.jobs import ESTIMATOR

QUICK = Pace(lease=1.0, renew=0.3, look=0.2, step=0.02)


@pytest.fixture(scope="module")
def pool() -> Iterator[WorkerPool]:
    with WorkerPool(2, 30.0, home="tests.desk.trial") as made:
        made.run("echo", b"")
        yield made


@pytest.fixture
def office(office: Office) -> Office:
    """Give the office a clock that goes as it does, and new ids."""
    return dataclasses.replace(office, now=lambda: dt.datetime.now(dt.UTC), new_id=lambda: str(uuid.uuid4()))


def beside(office: Office) -> Office:
    """Return the office as another process has it: the same store, another bell."""
    return Office(office.store)


def asked(office: Office, kind: str, payload: bytes, about: str = "record") -> Task:
    with office.writing(ESTIMATOR) as unit:
        return ask_for(office, unit, Work(kind, about, None, "answers.read", payload, {"asked": "so"}))


def now(office: Office, id: str) -> Task:
    return task(office, ESTIMATOR, id)


def once(office: Office, id: str, holds: Callable[[Task], bool], within: float = 20.0) -> Task:
    """Return a task as soon as it is so."""
    until = time.monotonic() + within
    while not holds(found := now(office, id)):
        assert time.monotonic() < until, found
        time.sleep(0.01)
    return found


def over(office: Office, id: str, within: float = 20.0) -> Task:
    return once(office, id, lambda found: found.is_over, within)


@contextmanager
def running(
    office: Office, pool: WorkerPool, threads: int = 1, is_alone: bool = False, **choices: object
) -> Iterator[Runner]:
    runner = Runner(office, pool, threads, **{"pace": QUICK, **choices})
    runner.start(is_alone)
    try:
        yield runner
    finally:
        runner.stop()
        assert not runner.is_alive


class Kept:
    """What results were made into."""

    def __init__(self, error: Exception | None = None) -> None:
        self.results = list[tuple[str, bytes]]()
        self.error = error

    def __call__(self, office: Office, unit: Unit, done: Task, result: bytes) -> None:
        assert done.state == "done"
        unit.changes.note(unit.tasks.hand, "kept", done.id)
        if self.error:
            raise self.error
        self.results.append((done.id, result))


# --- laws ---------------------------------------------------------------------------------------


def test_work_is_done_and_its_result_kept(office: Office, pool: WorkerPool) -> None:
    """With what it means, in the same unit, in the name of whoever asked."""
    kept = Kept()
    with running(office, pool, on_done={"echo": kept}) as runner:
        made = asked(office, "echo", b"ball")
        done = over(office, made.id)
        assert runner.is_alive
    assert (done.state, done.done, done.of, done.tries, done.lease) == ("done", 1, 1, 1, None)
    result = office.store.blobs.get(done.result_sha256 or "")
    assert result.endswith(b" ball")
    assert kept.results == [(made.id, result)]
    with office.reading() as unit:
        assert [(event.who, event.about) for event in unit.changes.events(most=9)] == [(ESTIMATOR.who, made.id)]


def test_steps_are_told_while_it_goes_on(office: Office, pool: WorkerPool) -> None:
    """The bell rings, and the row says how far; never backwards, no more often than the pace."""
    seen, rung = dict[int, Task](), list[float]()
    office.bell.add(lambda _: rung.append(time.monotonic()))
    with running(office, pool, pace=dataclasses.replace(QUICK, step=0.1)):
        made = asked(office, "nap", b"50")
        while not (found := now(office, made.id)).is_over:
            seen[found.version] = found
            time.sleep(0.01)
    steps = [one.done for one in seen.values() if one.of == 50]
    assert 3 <= len(steps) <= 7  # half a second's work in steps of a tenth
    assert steps == sorted(steps)
    assert len(rung) >= len(steps) + 2


def test_what_a_person_stops_is_killed_within_a_second(office: Office, pool: WorkerPool) -> None:
    """The worker is gone, the task is stopped, and the next one is done."""
    with running(office, pool, on_done={"nap": (kept := Kept())}):
        made = asked(office, "nap", b"3000")
        once(office, made.id, lambda found: found.done > 0)
        before, at = set(pool.pids), time.monotonic()
        assert stop_task(office, ESTIMATOR, made.id).state == "stopped"
        while not before - set(pool.pids):
            assert time.monotonic() - at < 1.0
            time.sleep(0.01)
        assert over(office, asked(office, "nap", b"1").id).state == "done"
        assert now(office, made.id).state == "stopped"
    assert [result for _, result in kept.results] == [b"rested"]


def test_what_is_stopped_by_way_of_another_server_is_killed_too(office: Office, pool: WorkerPool) -> None:
    """The bell here does not ring; the store is looked at."""
    with running(office, pool):
        made = asked(office, "nap", b"3000")
        once(office, made.id, lambda found: found.done > 0)
        before, at = set(pool.pids), time.monotonic()
        stop_task(beside(office), ESTIMATOR, made.id)
        while not before - set(pool.pids):
            assert time.monotonic() - at < 1.0
            time.sleep(0.01)


def test_what_waits_and_is_stopped_is_never_begun(office: Office, pool: WorkerPool) -> None:
    """Nobody takes it up."""
    made = asked(office, "echo", b"ball")
    stop_task(office, ESTIMATOR, made.id)
    with running(office, pool):
        over(office, asked(office, "echo", b"other").id)
    assert (now(office, made.id).state, now(office, made.id).tries) == ("stopped", 0)


def test_work_whose_worker_is_killed_is_tried_again(office: Office, pool: WorkerPool) -> None:
    """By a new worker, and done."""
    with running(office, pool):
        made = asked(office, "nap", b"30")
        once(office, made.id, lambda found: found.done > 0)
        for pid in pool.pids:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        done = over(office, made.id)
    assert (done.state, done.tries) == ("done", 2)


def test_work_that_kills_its_worker_each_time_is_given_up(office: Office, pool: WorkerPool) -> None:
    """After three times, in words."""
    with running(office, pool):
        failed = over(office, asked(office, "end", b"SIGKILL").id)
        assert (failed.state, failed.tries, failed.result_sha256) == ("failed", MOST_TRIES, None)
        assert "3" in render(problem_error(failed.problem or {}).problem)
        assert over(office, asked(office, "echo", b"ball").id).state == "done"


def test_a_server_that_stops_gives_its_work_back(office: Office, pool: WorkerPool) -> None:
    """Within a second; it waits without a try lost, and the next server does it."""
    made = asked(office, "nap", b"50")
    with running(office, pool) as runner:
        once(office, made.id, lambda found: found.done > 0)
        at = time.monotonic()
        runner.stop()
        assert time.monotonic() - at < 1.0
        assert (now(office, made.id).state, now(office, made.id).tries) == ("waiting", 0)
    with running(office, pool):
        done = over(office, made.id)
    assert (done.state, done.tries) == ("done", 1)


def left_behind(office: Office, seconds: float, tries: int = 1) -> str:
    """Return the id of a task as a server leaves it that dies with it."""
    made = asked(office, "echo", b"ball")
    with office.writing_as(MACHINE) as unit:
        until = office.now() + dt.timedelta(seconds=seconds)
        values = {"state": "running", "lease": str(uuid.uuid4()), "lease_until": until, "tries": tries}
        return unit.tasks.change(made.id, None, **values).id


@pytest.mark.parametrize("is_alone", [True, False])
def test_what_a_dead_server_left_is_done(office: Office, pool: WorkerPool, is_alone: bool) -> None:
    """By one that is alone at once, by one that is not when the lease has run out, and not before."""
    id = left_behind(office, 60.0 if is_alone else 1.0)
    began = time.monotonic()
    with running(office, pool, is_alone=is_alone):
        done = over(office, id)
    assert (done.state, done.tries) == ("done", 2)
    took = time.monotonic() - began
    assert took < 1.0 if is_alone else took > 0.8


def test_what_three_servers_died_over_is_given_up(office: Office, pool: WorkerPool) -> None:
    """Rather than a fourth."""
    id = left_behind(office, -1.0, tries=MOST_TRIES)
    with running(office, pool):
        failed = over(office, id)
    assert (failed.state, failed.tries) == ("failed", MOST_TRIES)


def test_a_result_that_comes_after_the_lease_is_dropped(office: Office, pool: WorkerPool) -> None:
    """One that slept through its lease, as a machine does, changes nothing of what another began."""
    slept, woke = Kept(), Kept()
    asleep = Pace(lease=0.2, renew=60.0, look=60.0, step=0.02)
    with running(office, pool, on_done={"nap": slept}, pace=asleep) as first:
        made = asked(office, "nap", b"120")
        lease = once(office, made.id, lambda found: found.done > 0).lease
        with running(beside(office), pool, on_done={"nap": woke}):
            taken = once(office, made.id, lambda found: found.lease not in (None, lease))
            assert taken.tries == 2
            done = over(office, made.id)
        assert first.is_alive
        time.sleep(0.5)  # the first has long come back with its own
        assert now(office, made.id) == done
    assert (slept.results, len(woke.results)) == ([], 1)


def test_a_lease_is_renewed_for_as_long_as_it_goes_on(office: Office, pool: WorkerPool) -> None:
    """Another server leaves it alone, however long it takes; and what only goes on does not change its version."""
    pace = Pace(lease=0.4, renew=0.1, look=0.1, step=60.0)
    with running(office, pool, pace=pace), running(beside(office), pool, pace=pace):
        made = asked(office, "nap", b"90")
        begun = once(office, made.id, lambda found: found.of == 90)
        done = over(office, made.id)
    assert (done.state, done.tries, done.version) == ("done", 1, begun.version + 1)


def test_two_servers_do_each_task_once(office: Office, pool: WorkerPool) -> None:
    """However many tasks and threads."""
    kept = Kept()
    made = {asked(office, "echo", b"%d" % n).id for n in range(30)}
    with (
        running(office, pool, threads=2, on_done={"echo": kept}),
        running(beside(office), pool, threads=2, on_done={"echo": kept}),
    ):
        done = [over(office, id) for id in made]
    assert {(one.state, one.tries) for one in done} == {("done", 1)}
    assert sorted(id for id, _ in kept.results) == sorted(made)


def test_what_nobody_waits_for_comes_last(office: Office) -> None:
    """Photos after answers; among equals whoever asked first."""
    order = [asked(office, kind, b"1", str(n)).id for n, kind in enumerate(("photo", "answer", "photo", "offer"))]
    taken = list[str]()
    with office.writing_as(MACHINE) as unit:
        while found := unit.tasks.take_next(office.new_id(), office.now(), ("photo",)):
            taken.append(found.id)
            unit.tasks.end(found.id, "done")
    assert taken == [order[n] for n in (1, 3, 0, 2)]


# --- refusals -----------------------------------------------------------------------------------


def test_work_that_refuses_fails_at_once_with_its_sentence(office: Office, pool: WorkerPool) -> None:
    """Trying again would not help."""
    with running(office, pool):
        failed = over(office, asked(office, "fail", b"archive").id)
    assert (failed.state, failed.tries) == ("failed", 1)
    error = problem_error(failed.problem or {})
    assert (error.code, error.problem, error.where) == ("archive", say("site.archive-broken"), "walk.zip")


def test_a_fault_is_told_to_the_log_and_its_words_to_nobody(office: Office, pool: WorkerPool) -> None:
    """The task says only that there is one."""
    told = list[tuple[Task | None, WorkFaultError]]()
    with running(office, pool, tell_fault=lambda *fault: told.append(fault)):
        failed = over(office, asked(office, "fail", b"zero").id)
    assert "by nought" not in str(failed.problem)
    assert [(at and at.id, "by nought" in fault.detail) for at, fault in told] == [(failed.id, True)]


@pytest.mark.parametrize(
    ("error", "code"), [(ConflictError(say("store.conflict")), "conflict"), (ZeroDivisionError(), "work-fault")]
)
def test_a_result_that_means_nothing_fails_and_leaves_no_trace(
    office: Office, pool: WorkerPool, error: Exception, code: str
) -> None:
    """What it had begun to write is undone."""
    with running(office, pool, on_done={"echo": Kept(error)}):
        failed = over(office, asked(office, "echo", b"ball").id)
    assert (failed.state, failed.result_sha256) == ("failed", None)
    assert (failed.problem or {})["codes"][0] == code
    with office.reading() as unit:
        assert unit.changes.events(most=9) == ()


def test_work_that_nobody_knows_or_whose_input_is_lost_fails_in_words(office: Office, pool: WorkerPool) -> None:
    """At once."""
    lost = asked(office, "echo", b"lost")
    blobs = office.store.blobs
    blobs._path(lost.input_sha256).unlink()
    with running(office, pool):
        assert (over(office, lost.id).problem or {})["codes"][0] == "damaged"
        assert (over(office, asked(office, "sing", b"").id).problem or {})["codes"][0] == "work-fault"


def test_a_store_that_is_away_for_a_while_is_waited_for(
    office: Office, pool: WorkerPool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The runner lives, and goes on when it is back."""
    import courtwright.desk.work.runner as module
    from courtwright.errors import BusyError

    is_away = threading.Event()
    held = module.Runner._held_unit

    @contextmanager
    def away(self: Runner, at: Task) -> Iterator[Unit | None]:
        if is_away.is_set():
            raise BusyError(say("store.busy"))
        with held(self, at) as unit:
            yield unit

    monkeypatch.setattr(module.Runner, "_held_unit", away)
    with running(office, pool) as runner:
        made = asked(office, "nap", b"20")
        once(office, made.id, lambda found: found.state == "running")
        is_away.set()
        time.sleep(0.5)  # longer than the work
        assert now(office, made.id).state == "running"
        is_away.clear()
        assert over(office, made.id).state == "done"
        assert runner.is_alive


def test_a_problem_keeps_its_code() -> None:
    """Also where its class is known to the desk alone."""
    fault = WorkFaultError("secret")
    plain = plain_problem(fault)
    assert plain["codes"][0] == "work-fault"
    assert isinstance(problem_error(plain), CourtwrightError)
    assert "secret" not in str(plain)

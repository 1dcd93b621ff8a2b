"""Tasks as they are asked for, seen and stopped: by whom, and once."""

from __future__ import annotations

import dataclasses
import threading
from concurrent.futures import ThreadPoolExecutor

import pytest

from courtwright.desk.caller import THE_MACHINE, Caller
from courtwright.desk.office import Office
from courtwright.desk.work.tasks import Work, ask_for, list_tasks, plain_problem, problem_error, stop_task, task
from courtwright.errors import ArchiveError, InputError, MissingError, RefusedError
from courtwright.says import say
from courtwright.store.rows.tasks import Task
from courtwright.trade.words import render
from tests.desk.jobs import CREW, CREW_OFF, ESTIMATOR, HEAD, a_job

CUSTOMER = Caller("link:00000000-0000-0000-0000-0000000000dd", "customer")


def asked(office: Office, caller: Caller = ESTIMATOR, payload: bytes = b"1", **values: object) -> Task:
    work = Work("nap", "walk", None, "answers.read", payload, {})
    with office.writing(caller) as unit:
        return ask_for(office, unit, dataclasses.replace(work, **values))


# --- laws ---------------------------------------------------------------------------------------


def test_the_same_work_asked_twice_is_one_task_until_it_is_done(office: Office) -> None:
    """Another input, record, request or kind is another task; so is the same after the first is over."""
    first = asked(office)
    assert asked(office).id == first.id
    assert asked(office, HEAD).id == first.id
    others = [
        asked(office, payload=b"2"),
        asked(office, about="other"),
        asked(office, request={"seed": 2}),
        asked(office, kind="echo"),
        asked(office, needs="prices.read"),
    ]
    assert len({first.id, *(other.id for other in others)}) == 6
    stop_task(office, ESTIMATOR, first.id)
    assert asked(office).id != first.id


def test_the_same_work_asked_by_many_at_once_is_one_task(office: Office) -> None:
    """On either database, whoever comes first."""
    together = threading.Barrier(6)
    office = dataclasses.replace(office, new_id=_ids())

    def ask(_: int) -> str:
        together.wait()
        return asked(office).id

    with ThreadPoolExecutor(6) as threads:
        assert len(set(threads.map(ask, range(6)))) == 1


def test_the_bell_rings_when_a_task_is_asked_for_and_not_when_that_is_undone(office: Office) -> None:
    """Nobody is told of what is not kept."""
    rung = list[str]()
    office.bell.add(rung.append)
    made = asked(office)
    assert rung == [made.id]

    def breaks_off() -> None:
        with office.writing(ESTIMATOR) as unit:
            ask_for(office, unit, Work("nap", "walk", None, "answers.read", b"3", {}))
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        breaks_off()
    assert rung == [made.id]
    office.bell.discard(rung.append)
    asked(office, payload=b"4")
    assert rung == [made.id]


def test_tasks_are_not_part_of_the_history(office: Office) -> None:
    """Progress is no change of a job."""
    made = asked(office)
    with office.reading() as unit:
        assert unit.changes.of("task", made.id, most=10) == ()


@pytest.mark.parametrize(
    ("caller", "needs", "sees"),
    [
        (HEAD, "answers.read", True),
        (HEAD, "prices.read", True),
        (ESTIMATOR, "prices.read", True),
        (THE_MACHINE, "offers.read", True),
        (CREW, "answers.read", True),
        (CREW, "prices.read", False),
        (CREW, "offers.read", False),
        (CREW_OFF, "answers.read", False),
    ],
)
def test_who_sees_the_job_sees_its_tasks_and_money_only_who_may(
    office: Office, caller: Caller, needs: str, sees: bool
) -> None:
    """In the list as one by one; what may not be seen is as if it were not there."""
    made = asked(office, Caller("somebody", "head"), job_id=a_job(office), needs=needs)
    assert [one.id for one in list_tasks(office, caller).items] == ([made.id] if sees else [])
    if sees:
        assert task(office, caller, made.id) == made
        return
    for ask in (task, stop_task):
        with pytest.raises(MissingError):
            ask(office, caller, made.id)


def test_what_is_about_no_job_is_seen_by_whoever_asked(office: Office) -> None:
    """And by nobody else."""
    made = asked(office)
    assert list_tasks(office, ESTIMATOR).items == [made] or list_tasks(office, ESTIMATOR).items == (made,)
    assert not list_tasks(office, HEAD).items
    with pytest.raises(MissingError):
        task(office, HEAD, made.id)


def test_a_list_can_be_of_one_state_and_about_one_record(office: Office) -> None:
    """Page by page, changed last first."""
    one, two = asked(office), asked(office, about="other")
    stop_task(office, ESTIMATOR, one.id)
    assert [t.id for t in list_tasks(office, ESTIMATOR).items] == [one.id, two.id]
    assert [t.id for t in list_tasks(office, ESTIMATOR, state="waiting").items] == [two.id]
    assert [t.id for t in list_tasks(office, ESTIMATOR, about="walk").items] == [one.id]
    page = list_tasks(office, ESTIMATOR, most=1)
    assert [t.id for t in list_tasks(office, ESTIMATOR, most=1, after=page.next).items] == [two.id]


def test_a_stopped_task_stays_stopped(office: Office) -> None:
    """Stopping again changes nothing."""
    made = asked(office)
    stopped = stop_task(office, ESTIMATOR, made.id)
    assert (stopped.state, stopped.version) == ("stopped", 2)
    assert stop_task(office, ESTIMATOR, made.id) == stopped


def test_why_there_is_no_result_is_told_in_the_readers_language() -> None:
    """Kept as a sentence with its values, in no language."""
    error = ArchiveError(say("site.archive-name", name="../x"), where="walk.zip", fix=say("site.archive-do"))
    back = problem_error(plain_problem(error))
    assert (type(back), back.problem, back.where, back.fix) == (ArchiveError, error.problem, error.where, error.fix)
    assert render(back.problem, "es") == render(error.problem, "es") != render(error.problem, "en")


# --- refusals -----------------------------------------------------------------------------------


def test_the_crew_stops_what_it_asked_for_and_nothing_else(office: Office) -> None:
    """What they see may still be another's work."""
    job = a_job(office)
    theirs, others = asked(office, CREW, job_id=job), asked(office, payload=b"2", job_id=job)
    assert stop_task(office, CREW, theirs.id).state == "stopped"
    with pytest.raises(RefusedError):
        stop_task(office, CREW, others.id)
    assert stop_task(office, HEAD, others.id).state == "stopped"


def test_a_customer_sees_no_tasks(office: Office) -> None:
    """Not even that there are none."""
    made = asked(office)
    for ask in (lambda: list_tasks(office, CUSTOMER), lambda: task(office, CUSTOMER, made.id)):
        with pytest.raises(RefusedError):
            ask()


def test_a_page_of_somebody_else_is_refused(office: Office) -> None:
    """A page begins where a page of ours ended."""
    with pytest.raises(InputError):
        list_tasks(office, ESTIMATOR, after="x")


def _ids():
    import uuid

    return lambda: str(uuid.uuid4())

"""Long work: how far it is, as it goes on, and an end to it."""

from __future__ import annotations

import datetime as dt
from collections.abc import AsyncIterator, Generator
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends, Header, Query, Request
from fastapi.sse import EventSourceResponse, ServerSentEvent
from pydantic import BaseModel, Field

from courtwright.api.asked import After, Most
from courtwright.api.problem import Place, Problem, language_of, problems, status_of
from courtwright.api.watching import Watchers, states
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.work import tasks as desk
from courtwright.store.rows.tasks import State, Task
from courtwright.trade.words import Language, render

router = APIRouter(prefix="/api/tasks", tags=["tasks"])


class TaskOut(BaseModel):
    """A task."""

    id: UUID
    version: int
    made_at: dt.datetime
    changed_at: dt.datetime
    kind: str
    about: str = Field(description="Id of the record that it is about.")
    job_id: UUID | None
    by: str
    state: State
    done: int = Field(description="Steps done, of so many; 0 of 0 while nobody knows.")
    of: int
    problem: Problem | None = Field(description="Why there is no result, once failed.")


class TaskPage(BaseModel):
    """Some tasks."""

    items: list[TaskOut]
    next: str | None


def out(task: Task, language: Language) -> TaskOut:
    """Return a task as it is shown, in a reader's language."""
    values = {name: getattr(task, name) for name in TaskOut.model_fields if name != "problem"}
    return TaskOut(**values, problem=_problem(task, language))


def _problem(task: Task, language: Language) -> Problem | None:
    if task.problem is None:
        return None
    error = desk.problem_error(task.problem)
    complaints: tuple[Any, ...] = getattr(error, "complaints", ())
    return Problem(
        type="about:blank",
        title=render(error.problem, language),
        status=status_of(error),
        detail=render(error.fix, language) if error.fix else "",
        code=task.problem["codes"][0],
        at=error.where,
        places=[Place(at=", ".join(filter(None, (c.file, c.at))), says=render(c.says, language)) for c in complaints],
    )


@router.get("")
def list_tasks(
    office: TheOffice,
    caller: SignedIn,
    request: Request,
    state: State | None = None,
    about: Annotated[UUID | None, Query(description="Id of the record that they are about.")] = None,
    most: Most = 50,
    after: After = None,
) -> TaskPage:
    """Return tasks, changed last first: one's own, and those about the jobs one may see."""
    page = desk.list_tasks(office, caller, state=state, about=str(about) if about else None, most=most, after=after)
    return TaskPage(items=[out(task, language_of(request)) for task in page.items], next=page.next)


@router.get("/{id}", responses=problems(404))
def task(id: UUID, office: TheOffice, caller: SignedIn, request: Request) -> TaskOut:
    """Return one task."""
    return out(desk.task(office, caller, str(id)), language_of(request))


@router.post("/{id}/stop", responses=problems(404))
def stop_task(id: UUID, office: TheOffice, caller: SignedIn, request: Request) -> TaskOut:
    """Stop a task; one that is over stays as it is."""
    return out(desk.stop_task(office, caller, str(id)), language_of(request))


def _watching(id: UUID, office: TheOffice, caller: SignedIn, request: Request) -> Generator[None, None, None]:
    """Count the stream, and refuse it while a refusal can still be answered."""
    watchers: Watchers = request.app.state.watchers
    with watchers.one_more(caller.who):
        desk.task(office, caller, str(id))
        yield


@router.get(
    "/{id}/events",
    response_class=EventSourceResponse,
    responses=problems(404, 429),
    dependencies=[Depends(_watching)],
)
async def task_events(
    id: UUID,
    office: TheOffice,
    caller: SignedIn,
    request: Request,
    last_event_id: Annotated[
        str | None,
        Header(max_length=40, description="The id of the last event that came; what it told is not told again."),
    ] = None,
) -> AsyncIterator[ServerSentEvent]:
    """Tell a task as it is, then each change, as events called task; the stream ends when the task is over."""
    language = language_of(request)
    async for one in states(office, caller, str(id), _version(last_event_id)):
        yield ServerSentEvent(data=out(one, language), event="task", id=str(one.version))


def _version(last_event_id: str | None) -> int:
    """Return the version that an id of an event tells, 0 for one that is none of ours. [-]"""
    given = last_event_id or ""
    return int(given) if given.isascii() and given.isdecimal() else 0

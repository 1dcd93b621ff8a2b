"""Jobs."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal
from uuid import UUID

from fastapi import APIRouter, Depends, Query, Response, status
from pydantic import BaseModel, ConfigDict

from courtwright.api.asked import After, Most, Since, TheOnce
from courtwright.api.conditional import seen, tagged
from courtwright.api.problem import problems
from courtwright.api.texts import Fields, Line, Note
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk import jobs as desk
from courtwright.store.rows.jobs import Job, Stage

router = APIRouter(prefix="/api/jobs", tags=["jobs"])

Customer = Literal["home", "club", "school", "municipal", "manager"]
Units = Literal["us", "metric"]
Seen = Annotated[int, Depends(seen)]


class JobGiven(BaseModel):
    """A job as it is opened; everything may be missing."""

    model_config = ConfigDict(extra="forbid")

    name: Line = ""
    address: Line = ""
    note: Note = ""
    customer: Customer | None = None
    stage: Stage = "call"
    units: Units = "us"
    call: Fields = {}


class JobChanged(BaseModel):
    """The fields of a job that change."""

    model_config = ConfigDict(extra="forbid")

    name: Line | None = None
    address: Line | None = None
    note: Note | None = None
    customer: Customer | None = None
    stage: Stage | None = None
    units: Units | None = None
    call: Fields | None = None

    def values(self) -> dict[str, Any]:
        """Return what was sent; only a customer may be sent as unknown."""
        sent = self.model_dump(exclude_unset=True)
        return {name: value for name, value in sent.items() if value is not None or name == "customer"}


class JobOut(BaseModel):
    """A job."""

    model_config = ConfigDict(from_attributes=True)

    id: UUID
    version: int
    made_at: dt.datetime
    changed_at: dt.datetime
    withdrawn_at: dt.datetime | None
    name: str
    address: str
    note: str
    customer: Customer | None
    stage: Stage
    units: Units
    call: dict[str, Any]


class JobPage(BaseModel):
    """Some jobs."""

    items: list[JobOut]
    next: str | None


class ChangeOut(BaseModel):
    """One change of a record."""

    model_config = ConfigDict(from_attributes=True)

    seq: int
    at: dt.datetime
    who: str
    action: str
    before: dict[str, Any] | None
    after: dict[str, Any] | None


class AssignmentOut(BaseModel):
    """One person on a job."""

    model_config = ConfigDict(from_attributes=True)

    job_id: UUID
    person_id: UUID


def _out(job: Job, response: Response) -> JobOut:
    tagged(response, job.version)
    return JobOut.model_validate(job)


@router.get("", responses=problems(404))
def list_jobs(
    office: TheOffice,
    caller: SignedIn,
    text: Annotated[str, Query(max_length=200, pattern=r"^[^\x00]*$", description="Part of a name or address.")] = "",
    stage: Stage | None = None,
    withdrawn: Annotated[bool, Query(description="Those withdrawn instead of the others.")] = False,
    most: Most = 50,
    after: After = None,
) -> JobPage:
    """Return jobs, changed last first."""
    page = desk.list_jobs(office, caller, text=text, stage=stage, is_withdrawn=withdrawn, most=most, after=after)
    return JobPage(items=[JobOut.model_validate(job) for job in page.items], next=page.next)


@router.post("", status_code=status.HTTP_201_CREATED, responses=problems(409))
def open_job(given: JobGiven, office: TheOffice, caller: SignedIn, once: TheOnce, response: Response) -> JobOut:
    """Open a job; with an Idempotency-Key, once only however often it is sent."""
    job = desk.open_job(office, caller, given.model_dump(), once)
    response.headers["Location"] = f"/api/jobs/{job.id}"
    return _out(job, response)


@router.get("/{id}", responses=problems(404))
def job(id: UUID, office: TheOffice, caller: SignedIn, response: Response) -> JobOut:
    """Return one job, with its ETag."""
    return _out(desk.job(office, caller, str(id)), response)


@router.patch("/{id}", responses=problems(404, 409, 412, 428))
def change_job(
    id: UUID, given: JobChanged, office: TheOffice, caller: SignedIn, version: Seen, response: Response
) -> JobOut:
    """Change fields of a job, as it was seen."""
    return _out(desk.change_job(office, caller, str(id), version, given.values()), response)


@router.post("/{id}/withdraw", responses=problems(404, 409, 412, 428))
def withdraw_job(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> JobOut:
    """Withdraw a job; nothing of it is lost, and it can be brought back."""
    return _out(desk.withdraw_job(office, caller, str(id), version), response)


@router.post("/{id}/bring-back", responses=problems(404, 409, 412, 428))
def bring_back_job(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> JobOut:
    """Bring a withdrawn job back."""
    return _out(desk.bring_back_job(office, caller, str(id), version), response)


@router.get("/{id}/history", responses=problems(404))
def job_history(id: UUID, office: TheOffice, caller: SignedIn, most: Most = 100, after: Since = 0) -> list[ChangeOut]:
    """Return what became of a job, oldest change first."""
    return [ChangeOut.model_validate(one) for one in desk.job_history(office, caller, str(id), most=most, after=after)]


@router.get("/{id}/people", responses=problems(404))
def assigned(id: UUID, office: TheOffice, caller: SignedIn) -> list[AssignmentOut]:
    """Return who is on a job."""
    return [AssignmentOut.model_validate(one) for one in desk.assigned(office, caller, str(id))]


@router.put("/{id}/people/{person_id}", responses=problems(404, 409))
def assign(id: UUID, person_id: UUID, office: TheOffice, caller: SignedIn) -> AssignmentOut:
    """Put a person on a job."""
    return AssignmentOut.model_validate(desk.assign(office, caller, str(id), str(person_id)))


@router.delete("/{id}/people/{person_id}", status_code=status.HTTP_204_NO_CONTENT, responses=problems(404))
def unassign(id: UUID, person_id: UUID, office: TheOffice, caller: SignedIn) -> None:
    """Take a person off a job."""
    desk.unassign(office, caller, str(id), str(person_id))

"""Invitations to join the company."""

from __future__ import annotations

import datetime as dt
from uuid import UUID

from fastapi import APIRouter, Depends, Request, Response, status
from pydantic import BaseModel, ConfigDict, Field

from courtwright.api.arrivals import Before, SessionOut, arrived
from courtwright.api.csrf import require_ours
from courtwright.api.problem import problems
from courtwright.api.texts import Email, Name, Secret
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.caller import Role
from courtwright.desk.people import invitations as desk
from courtwright.trade.words import Language, UnitSystem

router = APIRouter(prefix="/api/invitations", tags=["invitations"])


class InvitationGiven(BaseModel):
    """Who is invited, and as what."""

    model_config = ConfigDict(extra="forbid")

    role: Role
    email: Email


class InvitationOut(BaseModel):
    """An invitation that nobody has used."""

    model_config = ConfigDict(from_attributes=True)

    id: UUID
    role: Role
    email: str
    made_at: dt.datetime
    made_by: str
    expires_at: dt.datetime
    withdrawn_at: dt.datetime | None


class InvitedOut(InvitationOut):
    """An invitation as it is made: its link is shown this time only."""

    path: str = Field(default="", description="The link, from the service's address on.")


class JoinGiven(BaseModel):
    """What somebody who joins says."""

    model_config = ConfigDict(extra="forbid")

    token: Secret
    name: Name
    password: Secret
    language: Language = "en"
    units: UnitSystem = "us"


@router.get("")
def list_invitations(office: TheOffice, caller: SignedIn) -> list[InvitationOut]:
    """Return the invitations that nobody has used or withdrawn, expired ones too, oldest first."""
    return [InvitationOut.model_validate(one) for one in desk.list_invitations(office, caller)]


@router.post("", status_code=status.HTTP_201_CREATED, responses=problems(409))
def invite(given: InvitationGiven, office: TheOffice, caller: SignedIn) -> InvitedOut:
    """Invite somebody; an earlier invitation to the same address no longer holds."""
    made = desk.invite(office, caller, given.role, given.email)
    return InvitedOut.model_validate(made.invitation).model_copy(update={"path": made.path})


@router.post("/{id}/withdraw", responses=problems(404, 409))
def withdraw_invitation(id: UUID, office: TheOffice, caller: SignedIn) -> InvitationOut:
    """Withdraw an invitation."""
    return InvitationOut.model_validate(desk.withdraw_invitation(office, caller, str(id)))


@router.post(
    "/accept",
    status_code=status.HTTP_201_CREATED,
    dependencies=[Depends(require_ours)],
    responses=problems(404, 409),
)
def join(given: JoinGiven, office: TheOffice, before: Before, request: Request, response: Response) -> SessionOut:
    """Join by the token of an invitation; the cookie comes with the answer."""
    newcomer = desk.Newcomer(given.name, given.password, given.language, given.units)
    return arrived(request, response, desk.join(office, given.token, newcomer, before))

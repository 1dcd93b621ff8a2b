"""The company's own record."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Request, Response
from pydantic import BaseModel, ConfigDict

from courtwright.api.asked import Most, Since
from courtwright.api.conditional import seen, tagged
from courtwright.api.problem import problems
from courtwright.api.routes.jobs import ChangeOut
from courtwright.api.texts import Fields, Line, Name
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.people import company as desk
from courtwright.store.rows.company import Company

router = APIRouter(prefix="/api/company", tags=["company"])

Seen = Annotated[int, Depends(seen)]

_PICTURE = {"schema": {"type": "string", "format": "binary"}}


class CompanyGiven(BaseModel):
    """The company, whole, but for its logo."""

    model_config = ConfigDict(extra="forbid")

    name: Name
    licence: Line = ""
    address: Line = ""
    phone: Line = ""
    terms: Fields = {}


class CompanyOut(BaseModel):
    """The company."""

    model_config = ConfigDict(from_attributes=True)

    version: int
    changed_at: dt.datetime
    name: str
    licence: str
    address: str
    phone: str
    terms: dict[str, Any]
    logo_sha256: str | None


class PngResponse(Response):
    """A picture of ours."""

    media_type = "image/png"


async def _sent(request: Request) -> bytes:
    return await request.body()


def _out(company: Company, response: Response) -> CompanyOut:
    tagged(response, company.version)
    return CompanyOut.model_validate(company)


@router.get("", responses=problems(404))
def company(office: TheOffice, caller: SignedIn, response: Response) -> CompanyOut:
    """Return the company, with its ETag."""
    return _out(desk.company(office, caller), response)


@router.put("", responses=problems(404, 409, 412, 428))
def change_company(
    given: CompanyGiven, office: TheOffice, caller: SignedIn, version: Seen, response: Response
) -> CompanyOut:
    """Change the company's record, as it was seen."""
    return _out(desk.change_company(office, caller, version, given.model_dump()), response)


@router.get("/history")
def company_history(office: TheOffice, caller: SignedIn, most: Most = 100, after: Since = 0) -> list[ChangeOut]:
    """Return what became of the company's record, oldest change first."""
    found = desk.company_history(office, caller, most=most, after=after)
    return [ChangeOut.model_validate(one) for one in found]


@router.get("/logo", response_class=PngResponse, responses=problems(404))
def logo(office: TheOffice, caller: SignedIn) -> Response:
    """Return the logo."""
    return PngResponse(desk.logo(office, caller))


@router.put(
    "/logo",
    responses=problems(404, 409, 412, 428),
    openapi_extra={"requestBody": {"required": True, "content": {"image/png": _PICTURE, "image/jpeg": _PICTURE}}},
)
def change_logo(
    office: TheOffice, caller: SignedIn, version: Seen, data: Annotated[bytes, Depends(_sent)], response: Response
) -> CompanyOut:
    """Take a PNG or JPEG as the logo; it is written anew, and kept as a PNG."""
    return _out(desk.change_logo(office, caller, version, data), response)


@router.delete("/logo", responses=problems(404, 409, 412, 428))
def take_logo_away(office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> CompanyOut:
    """Show no logo any more; the file is kept."""
    return _out(desk.change_logo(office, caller, version, None), response)

"""The company's own record."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, get_args

from fastapi import APIRouter, Depends, Request, Response
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from courtwright.api.asked import Most, Since
from courtwright.api.conditional import seen, tagged
from courtwright.api.problem import problems
from courtwright.api.routes.jobs import ChangeOut
from courtwright.api.texts import Line, Name, Note
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.people import company as desk
from courtwright.desk.people.own_terms import own_terms
from courtwright.store.rows.company import Company
from courtwright.trade.papers import Subject
from courtwright.trade.words import Language

router = APIRouter(prefix="/api/company", tags=["company"])

Seen = Annotated[int, Depends(seen)]

_PICTURE = {"schema": {"type": "string", "format": "binary"}}


#: Of one subject in one language: about a page. [-]
_MOST_LETTERS = 4000
Text = Annotated[Note, Field(max_length=_MOST_LETTERS)]


class OwnText(BaseModel):
    """A text of the company's own; where one language is empty, the other is shown as it was written."""

    model_config = ConfigDict(extra="forbid")

    en: Text = ""
    es: Text = ""


class Terms(BaseModel):
    """What the company says in words of its own; a subject that is left out has the usual terms, or none."""

    model_config = ConfigDict(extra="forbid")

    warranty: OwnText | None = None
    exclusions: OwnText | None = None
    insurance: OwnText | None = Field(None, description="Shown only when written.")
    payment: OwnText | None = None
    cancellation: OwnText | None = Field(None, description="Shown only when written.")
    needs: OwnText | None = None


class CompanyGiven(BaseModel):
    """The company, whole, but for its logo."""

    model_config = ConfigDict(extra="forbid")

    name: Name
    licence: Line = ""
    address: Line = ""
    phone: Line = ""
    terms: Terms | None = Field(None, description="All of them; where this is left out, those that are kept stay.")


class OwnTextOut(BaseModel):
    """A text of the company's own."""

    en: str = ""
    es: str = ""


class TermsOut(BaseModel):
    """What the company says in words of its own."""

    warranty: OwnTextOut | None = None
    exclusions: OwnTextOut | None = None
    insurance: OwnTextOut | None = None
    payment: OwnTextOut | None = None
    cancellation: OwnTextOut | None = None
    needs: OwnTextOut | None = None


class CompanyOut(BaseModel):
    """The company."""

    model_config = ConfigDict(from_attributes=True)

    version: int
    changed_at: dt.datetime
    name: str
    licence: str
    address: str
    phone: str
    terms: Annotated[TermsOut, BeforeValidator(own_terms)]
    logo_sha256: str | None


class InLanguages(BaseModel):
    """A text in both languages."""

    en: str
    es: str


class SentencesInLanguages(BaseModel):
    """Sentences in both languages."""

    en: list[str]
    es: list[str]


class UsualTermsOut(BaseModel):
    """The usual terms of a subject; a paper says of them what concerns its work."""

    subject: Subject
    title: InLanguages
    says: SentencesInLanguages = Field(description="Every sentence; none where a paper says nothing by itself.")
    most_letters: int = Field(description="So long may a text of the company's own be.")


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
    values = given.model_dump(exclude_none=True)
    return _out(desk.change_company(office, caller, version, values), response)


@router.get("/usual-terms")
def usual_terms(caller: SignedIn) -> list[UsualTermsOut]:
    """Return what a paper says of each subject where the company says nothing of its own, in the order of a paper."""
    english, spanish = (desk.company_usual_terms(caller, language) for language in get_args(Language))
    return [
        UsualTermsOut(
            subject=en.subject,
            title=InLanguages(en=en.title, es=es.title),
            says=SentencesInLanguages(en=list(en.says), es=list(es.says)),
            most_letters=_MOST_LETTERS,
        )
        for en, es in zip(english, spanish, strict=True)
    ]


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

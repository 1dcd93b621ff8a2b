"""Offers of the office: drafted, given papers, sent, revised, answered; never for the crew."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any
from uuid import UUID

from fastapi import APIRouter, Depends, Query, Request, Response, status
from pydantic import BaseModel, ConfigDict, Field

from courtwright.api.asked import After, Most, Since, TheOnce
from courtwright.api.conditional import seen, tagged
from courtwright.api.problem import language_of, problems
from courtwright.api.raw import file_answer, gives
from courtwright.api.routes.jobs import ChangeOut
from courtwright.api.routes.tasks import TaskOut, out
from courtwright.api.texts import Line, Name, Note
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.offers import offers as desk
from courtwright.desk.offers import papers, sealing
from courtwright.desk.offers.accepting import Given
from courtwright.desk.offers.standing import Standing, standing
from courtwright.desk.office import Office
from courtwright.site.record import Complaint
from courtwright.store.blobs import digest
from courtwright.store.rows.offers import Offer, State
from courtwright.trade.words import Language, render

router = APIRouter(prefix="/api", tags=["offers"])

Seen = Annotated[int, Depends(seen)]
Day = Annotated[dt.date, Field(ge=dt.date(2000, 1, 1), le=dt.date(2199, 12, 31))]
Seed = Annotated[int, Field(ge=0, le=2**31 - 1, description="Of everything drawn at random.")]
Options = Annotated[dict[Line, Annotated[list[Line], Field(max_length=40)]], Field(max_length=200)]
Reasons = Annotated[dict[Line, Annotated[dict[Line, Line], Field(max_length=40)]], Field(max_length=200)]
#: What a first page, a strip and a closing hold beside all else.
Short = Annotated[Note, Field(max_length=600)]
Long = Annotated[Note, Field(max_length=2000)]
FileName = Annotated[str, Query(min_length=1, max_length=400, pattern=r"^[^\x00]*$", description="As it is listed.")]

#: By the end of a name that we gave ourselves; everything else is bytes.
_MEDIA = {
    "pdf": "application/pdf",
    "json": "application/json",
    "svg": "image/svg+xml",
    "jpg": "image/jpeg",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    "gpkg": "application/geopackage+sqlite3",
    "dxf": "image/vnd.dxf",
    "ics": "text/calendar",
}
MEDIAS = ("application/octet-stream", *_MEDIA.values())


class Texts(BaseModel):
    """What is written by hand, as typed: customers read it as it stands."""

    model_config = ConfigDict(extra="forbid")

    greeting: Short = Field("", description="Before everything else.")
    note: Short = Field("", description="On the first page.")
    closing: Long = Field("", description="Before the acceptance.")
    options: Annotated[dict[Line, Annotated[dict[Line, Short], Field(max_length=40)]], Field(max_length=200)] = Field(
        default_factory=dict, description="A note beside an option, by pad and option."
    )


class PriceByHand(BaseModel):
    """A firm price that takes the place of the one that was reckoned."""

    model_config = ConfigDict(extra="forbid")

    firm_price: int = Field(ge=1, le=100_000_000, description="Whole, as prices are told, in the rates' currency.")
    because: Name = Field(description="Why; it stays in the office.")


Prices = Annotated[dict[Line, Annotated[dict[Line, PriceByHand], Field(max_length=40)]], Field(max_length=200)]
_REASONS = "Why an option is shown that a paper would not show, or is not that it would; by pad, kept in the office."
_PRICES = "Firm prices set by hand, by pad and option, each of an option that is offered."


class OfferGiven(BaseModel):
    """How an offer is to be written."""

    model_config = ConfigDict(extra="forbid")

    walk_id: UUID
    language: Language = "en"
    issued_on: Day = Field(description="The date on the paper.")
    start: Day | None = Field(None, description="First day of work, when it is agreed.")
    budget: bool = Field(False, description="A letter with ranges, which nobody can accept.")
    seed: Seed = 1
    options: Options | None = Field(None, description="The options to show, by pad; those a paper shows unless given.")
    reasons: Reasons | None = Field(None, description=_REASONS)
    prices: Prices | None = Field(None, description=_PRICES)
    texts: Texts | None = None


_MAY_BE_NONE = frozenset({"start", "options", "reasons", "prices", "texts"})


class OfferChanged(BaseModel):
    """What changes in how a draft is to be written."""

    model_config = ConfigDict(extra="forbid")

    walk_id: UUID | None = None
    language: Language | None = None
    issued_on: Day | None = None
    start: Day | None = None
    budget: bool | None = None
    seed: Seed | None = None
    options: Options | None = None
    reasons: Reasons | None = None
    prices: Prices | None = None
    texts: Texts | None = Field(None, description="All of them: what is left out is empty.")

    def values(self) -> dict[str, Any]:
        """Return what was sent; only a start, and what is set by hand, may be sent as none."""
        sent = {name: value for name, value in self.model_dump().items() if name in self.model_fields_set}
        values = {name: value for name, value in sent.items() if value is not None or name in _MAY_BE_NONE}
        return {**values, **({"walk_id": str(values["walk_id"])} if "walk_id" in values else {})}


class OfferOut(BaseModel):
    """An offer, or a revision of one."""

    id: UUID
    version: int
    made_at: dt.datetime
    changed_at: dt.datetime
    withdrawn_at: dt.datetime | None
    job_id: UUID
    walk_id: UUID
    number: int
    revision: int
    state: State
    standing: Standing = Field(description="Its state, unless it was taken back or has expired.")
    language: Language
    issued_on: dt.date
    expires_on: dt.date | None
    start: dt.date | None
    budget: bool
    seed: int
    options: dict[str, list[str]] | None
    reasons: dict[str, dict[str, str]] | None
    prices: dict[str, dict[str, PriceByHand]] | None
    texts: Texts | None
    has_papers: bool
    walk_seq: int | None = Field(description="The last update of the walk that its papers were made of.")
    says: dict[str, Any] = Field(description="What it says, as its offer.json; empty until its papers are made.")
    declined_because: str | None


class OfferPage(BaseModel):
    """Some offers."""

    items: list[OfferOut]
    next: str | None


class FileOut(BaseModel):
    """A file of an offer."""

    name: str


class AcceptanceGiven(BaseModel):
    """What was signed on paper."""

    model_config = ConfigDict(extra="forbid")

    options: dict[Line, Line] = Field(description="The option that was chosen, by pad.", max_length=200)
    name: Line
    signed_on: Day


class AcceptanceOut(BaseModel):
    """How an offer was accepted."""

    model_config = ConfigDict(from_attributes=True)

    id: UUID
    offer_id: UUID
    options: dict[str, str]
    name: str
    consent: str
    signed_on: dt.date | None
    at: dt.datetime
    who: str


class DeclinedByWord(BaseModel):
    """That a customer declined."""

    model_config = ConfigDict(extra="forbid")

    because: Note = ""


class FindingOut(BaseModel):
    """What is wrong with an accepted offer or its seal."""

    at: str = Field(description="Id of the offer, or of a chain of seals.")
    code: str
    weight: str
    says: str
    do: str


class SealOut(BaseModel):
    """The seal of an accepted offer, looked at just now."""

    offer_id: UUID
    seq: int
    at: dt.datetime
    short: str = Field(description="The code as it is printed on the sheet.")
    key_id: str
    body: str = Field(description="What is sealed, as canonical JSON.")
    findings: list[FindingOut] = Field(description="Empty when all is as it was sealed.")


def offer_out(office: Office, offer: Offer) -> OfferOut:
    """Return an offer as the office sees it."""
    own = {name: getattr(offer, name) for name in OfferOut.model_fields if hasattr(offer, name)}
    return OfferOut(
        **own,
        standing=standing(offer, office.now()),
        start=offer.request["start"],
        budget=offer.request["budget"],
        seed=offer.request["seed"],
        options=offer.request["options"],
        reasons=offer.request.get("reasons"),
        prices=offer.request.get("prices"),
        texts=offer.request.get("texts"),
        has_papers=offer.answers is not None,
        walk_seq=None if offer.inputs is None else offer.inputs["walk_seq"],
    )


def _out(office: Office, offer: Offer, response: Response) -> OfferOut:
    tagged(response, offer.version)
    return offer_out(office, offer)


# --- the offer itself -----------------------------------------------------------------------------


@router.get("/jobs/{id}/offers", responses=problems(404))
def list_offers(id: UUID, office: TheOffice, caller: SignedIn, most: Most = 50, after: After = None) -> OfferPage:
    """Return the offers of a job, withdrawn or not, changed last first."""
    page = desk.list_offers(office, caller, str(id), most=most, after=after)
    return OfferPage(items=[offer_out(office, one) for one in page.items], next=page.next)


@router.post("/jobs/{id}/offers", status_code=status.HTTP_201_CREATED, responses=problems(404, 409))
def draft_offer(
    id: UUID, given: OfferGiven, office: TheOffice, caller: SignedIn, once: TheOnce, response: Response
) -> OfferOut:
    """Draft an offer from a walk; with an Idempotency-Key, once only however often it is sent."""
    values = given.model_dump(exclude={"walk_id"})
    made = desk.draft_offer(office, caller, str(id), str(given.walk_id), values, once)
    response.headers["Location"] = f"/api/offers/{made.id}"
    return _out(office, made, response)


@router.get("/offers/{id}", responses=problems(404))
def offer(id: UUID, office: TheOffice, caller: SignedIn, response: Response) -> OfferOut:
    """Return one offer, with its ETag."""
    return _out(office, desk.offer(office, caller, str(id)), response)


@router.patch("/offers/{id}", responses=problems(404, 409, 412, 428))
def change_offer(
    id: UUID, given: OfferChanged, office: TheOffice, caller: SignedIn, version: Seen, response: Response
) -> OfferOut:
    """Change how a draft is to be written; its papers have to be made again then."""
    return _out(office, desk.change_offer(office, caller, str(id), version, given.values()), response)


@router.post("/offers/{id}/withdraw", responses=problems(404, 409, 412, 428))
def withdraw_offer(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> OfferOut:
    """Take back a draft, or an offer that nobody has answered."""
    return _out(office, desk.withdraw_offer(office, caller, str(id), version), response)


@router.post("/offers/{id}/bring-back", responses=problems(404, 409, 412, 428))
def bring_back_offer(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> OfferOut:
    """Bring an offer back that was taken back."""
    return _out(office, desk.bring_back_offer(office, caller, str(id), version), response)


@router.post("/offers/{id}/send", responses=problems(404, 409, 412, 428))
def send_offer(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> OfferOut:
    """Send an offer: from now on it stays as it is, and takes the place of its earlier revisions."""
    return _out(office, desk.send_offer(office, caller, str(id), version), response)


@router.post("/offers/{id}/revise", status_code=status.HTTP_201_CREATED, responses=problems(404, 409))
def revise_offer(id: UUID, office: TheOffice, caller: SignedIn, once: TheOnce, response: Response) -> OfferOut:
    """Draft a revision of an offer that was sent."""
    made = desk.revise_offer(office, caller, str(id), once)
    response.headers["Location"] = f"/api/offers/{made.id}"
    return _out(office, made, response)


@router.get("/offers/{id}/history", responses=problems(404))
def offer_history(id: UUID, office: TheOffice, caller: SignedIn, most: Most = 100, after: Since = 0) -> list[ChangeOut]:
    """Return what became of an offer, oldest change first."""
    found = desk.offer_history(office, caller, str(id), most=most, after=after)
    return [ChangeOut.model_validate(one) for one in found]


# --- papers ---------------------------------------------------------------------------------------


@router.post("/offers/{id}/papers", status_code=status.HTTP_202_ACCEPTED, responses=problems(404, 409, 412, 428))
def make_papers(
    id: UUID, office: TheOffice, caller: SignedIn, version: Seen, request: Request, response: Response
) -> TaskOut:
    """Ask for the papers of a draft, from its walk as it is now; they are attached when the task is done."""
    task = papers.make_papers(office, caller, str(id), version)
    response.headers["Location"] = f"/api/tasks/{task.id}"
    return out(task, language_of(request))


@router.get("/offers/{id}/files", responses=problems(404))
def paper_names(id: UUID, office: TheOffice, caller: SignedIn) -> list[FileOut]:
    """Return the files that were made for an offer."""
    return [FileOut(name=name) for name in papers.paper_names(office, caller, str(id))]


@router.get("/offers/{id}/file", response_class=Response, responses={**gives("The file.", *MEDIAS), **problems(404)})
def paper(id: UUID, name: FileName, office: TheOffice, caller: SignedIn) -> Response:
    """Return one file that was made for an offer, to be saved."""
    return offer_file(papers.paper(office, caller, str(id), name), name)


@router.get("/offers/{id}/inputs", responses=problems(404))
def input_names(id: UUID, office: TheOffice, caller: SignedIn) -> list[FileOut]:
    """Return the site's files that an offer was computed from."""
    return [FileOut(name=name) for name in papers.input_names(office, caller, str(id))]


@router.get("/offers/{id}/input", response_class=Response, responses={**gives("The file."), **problems(404)})
def input_file(id: UUID, name: FileName, office: TheOffice, caller: SignedIn) -> Response:
    """Return one of the site's files that an offer was computed from, byte for byte, to be saved."""
    data = papers.input_file(office, caller, str(id), name)
    return file_answer(data, MEDIAS[0], name.rpartition("/")[2], f'"{digest(data)}"')


def offer_file(data: bytes, name: str) -> Response:
    """Return a file of an offer as an answer, of the type that its name says: the names are ours."""
    last = name.rpartition("/")[2]
    return file_answer(data, _MEDIA.get(last.rpartition(".")[2], MEDIAS[0]), last, f'"{digest(data)}"')


# --- the answer to it -----------------------------------------------------------------------------


@router.get("/offers/{id}/acceptance", responses=problems(404))
def acceptance(id: UUID, office: TheOffice, caller: SignedIn) -> AcceptanceOut:
    """Return how an offer was accepted."""
    return AcceptanceOut.model_validate(desk.acceptance(office, caller, str(id)))


@router.put("/offers/{id}/acceptance", responses=problems(404, 409))
def record_acceptance(id: UUID, given: AcceptanceGiven, office: TheOffice, caller: SignedIn) -> AcceptanceOut:
    """Record that a customer accepted on paper; the same again changes nothing."""
    signed = Given(dict(given.options), given.name, signed_on=given.signed_on)
    return AcceptanceOut.model_validate(desk.record_acceptance(office, caller, str(id), signed))


@router.post("/offers/{id}/decline", responses=problems(404, 409, 412, 428))
def decline_offer(
    id: UUID, given: DeclinedByWord, office: TheOffice, caller: SignedIn, version: Seen, response: Response
) -> OfferOut:
    """Note that a customer declined."""
    return _out(office, desk.decline_offer(office, caller, str(id), version, given.because), response)


@router.post("/offers/{id}/reopen", responses=problems(404, 409, 412, 428))
def reopen_offer(id: UUID, office: TheOffice, caller: SignedIn, version: Seen, response: Response) -> OfferOut:
    """Open an offer again that was declined."""
    return _out(office, desk.reopen_offer(office, caller, str(id), version), response)


# --- seals ----------------------------------------------------------------------------------------


@router.get("/offers/{id}/seal", responses=problems(404))
def seal_of(id: UUID, office: TheOffice, caller: SignedIn, request: Request) -> SealOut:
    """Return the seal of an accepted offer, looked at now."""
    return _seal_out(sealing.seal_of(office, caller, str(id)), language_of(request))


@router.get("/seals/findings")
def seals_looked_at(office: TheOffice, caller: SignedIn, request: Request) -> list[FindingOut]:
    """Return what is wrong with accepted offers and their seals; an offer's own seal tells of its files' bytes."""
    return [_finding_out(one, language_of(request)) for one in sealing.seals_looked_at(office, caller)]


@router.get("/seals/{code}", responses=problems(404))
def seal_on_paper(
    code: Annotated[str, Field(min_length=1, max_length=40, pattern=r"^[0-9A-Za-z -]+$")],
    office: TheOffice,
    caller: SignedIn,
    request: Request,
) -> SealOut:
    """Return the seal whose code stands on a paper, looked at now."""
    return _seal_out(sealing.seal_on_paper(office, caller, code), language_of(request))


def _seal_out(seal: sealing.SealSeen, language: Language) -> SealOut:
    names = ("offer_id", "seq", "at", "short", "key_id", "body")
    findings = [_finding_out(one, language) for one in seal.findings]
    return SealOut(**{name: getattr(seal, name) for name in names}, findings=findings)


def _finding_out(one: Complaint, language: Language) -> FindingOut:
    says, do = (render(text, language, "us") for text in (one.says, one.do))
    return FindingOut(at=one.at, code=one.code, weight=one.weight, says=says, do=do)

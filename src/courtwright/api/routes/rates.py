"""The company's own rates, in place of those of the book. No customer and nobody without prices reaches them."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from fastapi import APIRouter, Depends, Request, Response
from pydantic import BaseModel, ConfigDict, Field

from courtwright.api.asked import Most, Since
from courtwright.api.conditional import tagged
from courtwright.api.problem import language_of, problems
from courtwright.api.raw import sent, takes
from courtwright.api.routes.company import Seen
from courtwright.api.routes.jobs import ChangeOut
from courtwright.api.texts import Line
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.people import rates as desk
from courtwright.job.house_rates import RateTold
from courtwright.job.rates_csv import MOST_BYTES, RowRead
from courtwright.trade.house_rates import HouseRate
from courtwright.trade.words import Language, render

router = APIRouter(prefix="/api/company/rates", tags=["company"])

#: A book has about a hundred rates. [-]
_MOST_RATES = 500

Group = Literal["lines", "mobilisation", "minimum", "costs", "single"]


class RateGiven(BaseModel):
    """An own rate, as typed."""

    model_config = ConfigDict(extra="forbid")

    value: Line = Field(description="Money for one unit, or percent; with a decimal point or comma.")
    unit: Line = Field(default="", description="For how much it is; empty for the rate's own unit.")
    date: dt.date = Field(description="The day from which it counts.")
    note: Line = ""


class RatesGiven(BaseModel):
    """The own rates, all of them, by id."""

    model_config = ConfigDict(extra="forbid")

    rates: dict[Line, RateGiven] = Field(max_length=_MOST_RATES)


class OwnRateOut(BaseModel):
    """An own rate."""

    value: float
    unit: str
    date: dt.date
    note: str


class RateOut(BaseModel):
    """A rate that may be replaced."""

    id: str
    group: Group
    title: str
    usual: float = Field(description="The likely figure of the book.")
    unit: str
    unit_title: str
    source: str = Field(description="Where the book has it from.")
    own: OwnRateOut | None


class RatesOut(BaseModel):
    """The own rates beside those of the book."""

    version: int = Field(description="0 before there are any of their own.")
    currency: str
    rates: list[RateOut]
    without_use: list[str] = Field(description="Ids of own rates that the book has not any more.")


class RowOut(BaseModel):
    """One row of a file."""

    line: int
    id: str
    title: str
    value: float | None = Field(description="In the rate's own unit; null where it cannot be used.")
    unit: str
    was: float | None = Field(description="What counts now.")
    date: dt.date | None
    note: str
    complaint: str | None = Field(description="What is wrong and what to do.")


class RowsOut(BaseModel):
    """The rows of a file; nothing of it is kept."""

    rows: list[RowOut]


def _own(rate: HouseRate | None) -> OwnRateOut | None:
    if rate is None:
        return None
    return OwnRateOut(value=rate.value, unit=rate.unit, date=dt.date.fromisoformat(rate.date), note=rate.note)


def _rate(told: RateTold, language: Language) -> RateOut:
    return RateOut(
        id=told.usual.id,
        group=told.usual.table or "single",
        title=render(told.title, language),
        usual=told.usual.value,
        unit=told.usual.unit,
        unit_title=render(told.unit, language),
        source=told.usual.source,
        own=_own(told.own),
    )


def _out(told: desk.CompanyRates, request: Request, response: Response) -> RatesOut:
    tagged(response, told.version)
    return RatesOut(
        version=told.version,
        currency=told.currency,
        rates=[_rate(one, language_of(request)) for one in told.rates],
        without_use=list(told.without_use),
    )


def _row(row: RowRead, language: Language) -> RowOut:
    return RowOut(
        line=row.line,
        id=row.id,
        title="" if row.title is None else render(row.title, language),
        value=row.value,
        unit="" if row.usual is None else row.usual.unit,
        was=row.was,
        date=row.date,
        note=row.note,
        complaint="; ".join(render(says, language) for says in row.complaint) or None,
    )


@router.get("")
def rates(office: TheOffice, caller: SignedIn, request: Request, response: Response) -> RatesOut:
    """Return the own rates beside those of the book, with their ETag."""
    return _out(desk.company_rates(office, caller), request, response)


@router.put("", responses=problems(409, 412, 428))
def change_rates(
    given: RatesGiven, office: TheOffice, caller: SignedIn, version: Seen, request: Request, response: Response
) -> RatesOut:
    """Keep the own rates, all of them, as they were seen; one that is left out is the usual one again."""
    typed = {id: desk.RateTyped(**one.model_dump()) for id, one in given.rates.items()}
    return _out(desk.change_rates(office, caller, version, typed), request, response)


@router.get("/history")
def rates_history(office: TheOffice, caller: SignedIn, most: Most = 100, after: Since = 0) -> list[ChangeOut]:
    """Return what became of the own rates, oldest change first."""
    found = desk.rates_history(office, caller, most=most, after=after)
    return [ChangeOut.model_validate(one) for one in found]


@router.post("/read", openapi_extra=takes("text/csv"))
def read_rates(
    office: TheOffice, caller: SignedIn, request: Request, data: Annotated[bytes, Depends(sent(MOST_BYTES))]
) -> RowsOut:
    """Read a CSV file of rates beside what counts now, each row with what is wrong with it; nothing is kept."""
    language = language_of(request)
    return RowsOut(rows=[_row(row, language) for row in desk.read_file(office, caller, data)])

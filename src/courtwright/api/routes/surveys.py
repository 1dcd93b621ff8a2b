"""What a survey file that has come would be as the heights of a pad, before it is taken into the walk."""

from __future__ import annotations

from typing import Annotated, Literal
from uuid import UUID

from fastapi import APIRouter, Request, Response, status
from pydantic import BaseModel, ConfigDict, Field

from courtwright.api.problem import language_of, problems
from courtwright.api.routes.tasks import TaskOut
from courtwright.api.routes.tasks import out as task_out
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.kinds.asked import Language, UnitSystem
from courtwright.desk.work import surveys as desk

router = APIRouter(prefix="/api/walks/{id}/surveys/looks", tags=["uploads"])

#: As `site.formats.told_columns` takes them; no coordinate on earth is larger. [-], [-], [unit of the file]
_MOST_COLUMNS, _MOST_LINES, _FARTHEST = 200, 1000, 1e9

Column = Annotated[int, Field(ge=1, le=_MOST_COLUMNS, description="Counted from 1.")]
Coordinate = Annotated[float, Field(ge=-_FARTHEST, le=_FARTHEST, allow_inf_nan=False)]
UnitWord = Literal["ft", "us-survey-ft", "m", "in", "cm", "mm"]


class ColumnsTold(BaseModel):
    """Which column of a point list is which, and how it is written; what is not given is as most rows have it."""

    model_config = ConfigDict(extra="forbid")

    easting: Column
    northing: Column
    elevation: Column
    point: Column | None = None
    heading_lines: Annotated[int, Field(ge=0, le=_MOST_LINES)] = 0
    delimiter: Literal["comma", "semicolon", "tab", "bar", "blank"] | None = None
    decimal: Literal["point", "comma"] | None = None
    unit: UnitWord | None = None
    height_unit: UnitWord | None = None
    frame: Literal["pad", "survey"] = "pad"


class PlaceTold(BaseModel):
    """Where the pad lies in the survey: two corners or more in both, or its origin and the bearing of its y axis."""

    model_config = ConfigDict(extra="forbid")

    common: Annotated[
        list[Annotated[list[Coordinate], Field(min_length=4, max_length=4)]] | None,
        Field(max_length=50, description="Of each: x and y on the pad in the walk's units, easting and northing."),
    ] = None
    origin: Annotated[list[Coordinate] | None, Field(min_length=2, max_length=2)] = None
    bearing_deg: Annotated[float | None, Field(ge=-360, le=360, allow_inf_nan=False)] = None


class LookIn(BaseModel):
    """Which file, for which pad, and what is told of it."""

    model_config = ConfigDict(extra="forbid")

    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$", description="Of the file, which has come.")]
    pad: UUID = Field(description="Of the pad in the walk's document.")
    columns: ColumnsTold | None = None
    place: PlaceTold | None = None
    language: Language = "en"
    units: UnitSystem | None = Field(default=None, description="Of the sentences; the walk's own unless given.")


class Complained(BaseModel):
    """One wrong place in the file, or a choice that was made."""

    file: str
    at: str
    code: str
    weight: str
    says: str
    do: str


class ListSeen(BaseModel):
    """How a point list is written, as far as it can be told by looking."""

    rows: list[list[str]]
    lines: list[int]
    delimiter: Literal["comma", "semicolon", "tab", "bar", "blank"]
    decimal: Literal["point", "comma"]
    heading_lines: int
    easting: int | None
    northing: int | None
    elevation: int | None
    point: int | None


class LookOut(BaseModel):
    """What the file would be as the heights of the pad."""

    kind: str = Field(description="What it is, by its content.")
    points: int
    unit_m: float | None = Field(description="Length of the unit taken for places.")
    height_unit_m: float | None = Field(description="Length of the unit taken for heights.")
    crs: str | None
    extent: list[float] | None = Field(description="West, south, east and north, in the file's own unit.")
    on_pad: int = Field(description="Heights that would be used.")
    off_pad: int
    lowest_m: float | None
    highest_m: float | None
    sketch_on_m: list[list[float]] = Field(description="Places in the pad's frame, thinned.")
    sketch_off_m: list[list[float]]
    complaints: list[Complained]
    complaints_more: int
    listed: ListSeen | None


@router.post("", status_code=status.HTTP_202_ACCEPTED, responses=problems(404))
def ask_look(
    id: UUID, given: LookIn, office: TheOffice, caller: SignedIn, request: Request, response: Response
) -> TaskOut:
    """Ask what a survey file would be: the task that reads it, and where to look. The walk does not change."""
    made = desk.ask_look(
        office,
        caller,
        str(id),
        sha256=given.sha256,
        pad=str(given.pad),
        columns=None if given.columns is None else given.columns.model_dump(exclude_none=True),
        place=None if given.place is None else given.place.model_dump(exclude_none=True),
        language=given.language,
        units=given.units,
    )
    response.headers["Location"] = f"/api/walks/{id}/surveys/looks/{made.id}"
    return task_out(made, language_of(request))


@router.get("/{task}", responses=problems(404))
def look(id: UUID, task: UUID, office: TheOffice, caller: SignedIn) -> LookOut:
    """Return what a survey file would be, once it is read."""
    return LookOut.model_validate_json(desk.look(office, caller, str(id), str(task)))

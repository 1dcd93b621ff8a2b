"""The stake-out of a new surface, as files for the crew and for machines."""

from __future__ import annotations

from typing import Annotated, Literal
from uuid import UUID

from fastapi import APIRouter, Request, Response, status
from pydantic import BaseModel, ConfigDict, Field

from courtwright.api.problem import language_of, problems
from courtwright.api.raw import file_answer, gives
from courtwright.api.routes.tasks import TaskOut
from courtwright.api.routes.tasks import out as task_out
from courtwright.api.who import SignedIn, TheOffice
from courtwright.desk.kinds.asked import Language, StakesAsked, UnitSystem
from courtwright.desk.work import stakes as desk

router = APIRouter(prefix="/api/walks/{id}/stakes", tags=["answers"])

ZIP = "application/zip"
#: A pad has no more gates, drains and thresholds than this; nor do its places lie farther from their origin. [-], [m]
_MOST_POINTS, _FARTHEST = 50, 1e7

Slope = Annotated[float | None, Field(default=None, ge=0, le=20, allow_inf_nan=False)]
Thickness = Annotated[float | None, Field(default=None, gt=0, le=1000, allow_inf_nan=False)]
Metres = Annotated[float, Field(ge=-_FARTHEST, le=_FARTHEST, allow_inf_nan=False)]


class PointAsked(BaseModel):
    """A point that the surface meets; without a height, at that of the ground."""

    model_config = ConfigDict(extra="forbid")

    x_m: Metres
    y_m: Metres
    height_m: Metres | None = None


class StakesIn(BaseModel):
    """What is staked out; what is not given is as the trade has it."""

    model_config = ConfigDict(extra="forbid")

    pad: Annotated[str, Field(min_length=1, max_length=200)]
    slope_min_pct: Slope
    slope_max_pct: Slope
    least_mm: Thickness
    stone_mm: Thickness
    grading: Literal["fine", "coarse"] = "fine"
    layout: Literal["one", "courts", "least"] = "one"
    points: list[PointAsked] = Field(default=[], max_length=_MOST_POINTS)
    language: Language = "en"
    units: UnitSystem | None = Field(default=None, description="Of the files; the walk's own unless given.")


def _asked(given: StakesIn) -> StakesAsked:
    def share(value: float | None, of: float) -> float | None:
        return None if value is None else value / of

    points = [[point.x_m, point.y_m, *([] if point.height_m is None else [point.height_m])] for point in given.points]
    return StakesAsked(
        given.pad,
        share(given.slope_min_pct, 100.0),
        share(given.slope_max_pct, 100.0),
        share(given.least_mm, 1000.0),
        share(given.stone_mm, 1000.0),
        given.grading,
        given.layout,
        points,
        given.language,
        given.units,
    )


@router.post("", status_code=status.HTTP_202_ACCEPTED, responses=problems(404))
def ask_stakes(
    id: UUID, given: StakesIn, office: TheOffice, caller: SignedIn, request: Request, response: Response
) -> TaskOut:
    """Ask for the stake-out of a new surface: the task that makes it, and where the files will be."""
    made = desk.ask_stakes(office, caller, str(id), _asked(given))
    response.headers["Location"] = f"/api/walks/{id}/stakes/{made.id}"
    return task_out(made, language_of(request))


@router.get("/{task}", response_class=Response, responses={**gives("The files.", ZIP), **problems(404)})
def stakes_file(id: UUID, task: UUID, office: TheOffice, caller: SignedIn) -> Response:
    """Return a stake-out, once it is made: a workbook and a drawing, as one zip."""
    data = desk.stakes_file(office, caller, str(id), str(task))
    return file_answer(data, ZIP, "stakes.zip", f'"{task}"')

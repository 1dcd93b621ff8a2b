"""The shape of the answer ``maps``, for clients: heights packed as lines of whole numbers, and what holds a surface."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, Field


class MapsRules(BaseModel):
    """What the trade asks of a new surface, unless somebody sets it otherwise."""

    slope_min_pct: float
    slope_max_pct: float
    stone_mm: float = Field(description="Largest stone of the usual mix.")
    stones_fine: float = Field(description="Least thickness of a fine mix, in stones.")
    stones_coarse: float = Field(description="Least thickness of a coarse mix, in stones.")
    least_mm: float = Field(description="No layer is thinner.")
    lift_most_mm: float = Field(description="What is thicker goes down in two lifts.")
    density_t_m3: float
    water_test_mm: float


class MapsRun(BaseModel):
    """Nodes side by side on the pad."""

    row: int
    col: int = Field(description="Of the first.")
    bends: str = Field(description="The first height, the first change, then changes of the change, in steps.")


class MapsHeights(BaseModel):
    """A grid of heights; nodes off the pad have none."""

    x0_m: float
    y0_m: float
    cell_m: float
    rows: int
    cols: int
    base_m: float = Field(description="Where the steps begin.")
    step_mm: float
    runs: list[MapsRun]
    area_m2: float = Field(description="What of the pad a node stands for, unless its cell is cut.")
    cut_nodes: str = Field(description="Nodes whose cell is cut, counted along the runs from 0.")
    cut_mm2: str = Field(description="What each of those stands for.")


class MapsEdge(BaseModel):
    """Places along the pad's edge in steps of the grid, the heights over its base."""

    x_steps: str
    y_steps: str
    z_steps: str


class MapsHeld(BaseModel):
    """A place that holds a new surface between two heights; null: not from that side."""

    kind: Literal["gate", "drain", "wall"]
    at: list[float]
    low_m: float | None
    high_m: float | None


class MapsStrips(BaseModel):
    """Strips of the pad side by side, with folds between them where a surface of several planes may fold."""

    across: list[float] = Field(description="Unit vector from strip to strip.")
    folds_m: list[float]
    courts: list[list[str]]


class MapsPad(BaseModel):
    """The heights of a pad; null where there are none."""

    id: str
    heights: MapsHeights | None
    edge: MapsEdge | None
    held: list[MapsHeld]
    strips: MapsStrips | None = Field(description="Null where no straight fold passes between two courts.")
    notes: list[str]


class MapsAnswer(BaseModel):
    """The answer ``maps``."""

    rules: MapsRules
    pads: list[MapsPad]
    complaints: list[dict[str, Any]]

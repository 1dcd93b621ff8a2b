"""The cases of the surface of least asphalt that the client's tests run too: ``spec/cases/regrade.json``."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from courtwright.ground.regrade.folds import Strips, least_folded
from courtwright.ground.regrade.plane import Contradiction, Fixed, Ground, least_plane

SPEC: dict[str, Any] = json.loads((Path(__file__).parents[2] / "spec/cases/regrade.json").read_text())
TOLERANCE: dict[str, float] = SPEC["tolerance"]


def ground_of(case: dict[str, Any]) -> Ground:
    told = SPEC["grounds"][case["ground"]]
    return Ground(*(np.array(told[name]) for name in ("x_m", "y_m", "z_m", "area_m2")))


def fixed_of(case: dict[str, Any]) -> Fixed:
    def column(name: str, free: float) -> np.ndarray:
        return np.array([free if one[name] is None else one[name] for one in case["held"]], dtype=np.float64)

    return Fixed(column("x", 0), column("y", 0), column("low", -math.inf), column("high", math.inf))


def found(case: dict[str, Any]) -> dict[str, float] | None:
    """Return what comes of a case."""
    ground, least = ground_of(case), case["least_m"]
    asked = (ground, least, case["slope_min"], case["slope_max"], fixed_of(case))
    if case["strips"]:
        told = case["strips"]
        strips = Strips(np.array(told["across"], dtype=np.float64), np.array(told["folds"]), tuple(told["courts"]))
        planes = least_folded(asked[0], strips, *asked[1:])
        if planes is None:
            return None
        above = np.min([ground.above(plane) for plane in planes], axis=0)
        return {"volume_m3": float(ground.area @ above)}
    one = least_plane(*asked)
    if isinstance(one, Contradiction):
        return {"miss_m": one.miss}
    above = ground.above(one.plane)
    return {
        "volume_m3": float(ground.area @ np.maximum(above, least)),
        "cut_m3": float(ground.area @ np.maximum(least - above, 0)) if one.milled > 0 else 0.0,
        "milled_m": one.milled,
        "slope": math.hypot(*one.plane.gradient),
    }


@pytest.mark.parametrize("case", SPEC["cases"], ids=lambda case: case["case"])
def test_the_surface_of_least_asphalt_is_that_of_the_case(case: dict[str, Any]) -> None:
    """In amounts, to what the cases allow."""
    got = found(case)
    if case["is"] is None:
        assert got is None
        return
    assert got is not None
    assert got.keys() == case["is"].keys()
    for name, value in case["is"].items():
        assert got[name] == pytest.approx(value, abs=TOLERANCE[name]), name

"""The water on a raster as a plain record."""

from __future__ import annotations

from courtwright.ground.raster_water import RasterWater
from courtwright.job.answers.ground import low_spot
from courtwright.job.answers.plain import number, point

_LITRES = 1000.0


def water_answer(water: RasterWater) -> dict[str, object]:
    """Return the answer of ``water`` without its complaints."""
    return {
        "low_spots": [{**low_spot(spot), "deepest": point(spot.deepest)} for spot in water.low_spots],
        "low_spots_total": water.total,
        "volume_l": number(water.volume * _LITRES, 3),
        "cells": water.cells,
    }

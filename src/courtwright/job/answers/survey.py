"""What a survey file would be as the heights of a pad, as a plain document."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from courtwright.job.answers.complaints import complaints
from courtwright.job.answers.plain import Reader
from courtwright.site.formats.told_columns import DECIMALS, DELIMITERS
from courtwright.site.survey_look import ListSeen, SurveyLook

#: So many points are sketched [-], and so many complaints told [-].
_SKETCHED, _TOLD = 600, 60


def survey_document(look: SurveyLook, reader: Reader) -> dict[str, Any]:
    """Return what was seen of a survey file: lengths in metres, its extent in its own unit.

    Parameters
    ----------
    look : SurveyLook
        What was seen.
    reader : Reader
        Language and units of the sentences.
    """
    on = look.shots.xyz if look.shots is not None else np.empty((0, 3))
    off = look.shots.around if look.shots is not None else look.off
    seen = look.seen
    return {
        "kind": look.kind,
        "points": seen.points,
        "unit_m": seen.unit,
        "height_unit_m": seen.height_unit,
        "crs": seen.crs,
        "extent": None if seen.extent is None else [round(value, 3) for value in seen.extent],
        "on_pad": len(on),
        "off_pad": len(off),
        "lowest_m": round(float(on[:, 2].min()), 4) if len(on) else None,
        "highest_m": round(float(on[:, 2].max()), 4) if len(on) else None,
        "sketch_on_m": _sketch(on),
        "sketch_off_m": _sketch(off),
        "complaints": complaints(look.complaints[:_TOLD], reader),
        "complaints_more": max(0, len(look.complaints) - _TOLD),
        "listed": None if look.listed is None else _listed(look.listed),
    }


def _sketch(xyz: NDArray[np.float64]) -> list[list[float]]:
    """Return places of points, evenly thinned. [m]"""
    step = -(-len(xyz) // _SKETCHED) or 1
    return [[round(float(x), 2), round(float(y), 2)] for x, y in xyz[::step, :2]]


def _listed(seen: ListSeen) -> dict[str, Any]:
    words = {mark: word for word, mark in DELIMITERS.items()}
    marks = {mark: word for word, mark in DECIMALS.items()}
    return {
        "rows": [list(row) for row in seen.rows],
        "lines": list(seen.lines),
        "delimiter": words[seen.way.delimiter],
        "decimal": marks[seen.way.decimal],
        "heading_lines": seen.heading_lines,
        **{name: at + 1 if (at := seen.columns.get(name)) is not None else None for name in _NAMED},
    }


_NAMED = ("easting", "northing", "elevation", "point")

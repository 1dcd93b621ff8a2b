"""Everything drawn, as a DXF that drawing programs open in metres."""

from __future__ import annotations

import io
from collections.abc import Generator
from contextlib import contextmanager

import shapely
from ezdxf._options import options
from ezdxf.document import Drawing
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from courtwright.offer.canvas import parts
from courtwright.offer.drawings import features
from courtwright.offer.paper import Paper

_METRES = 6
_POINT_AS_CROSS, _POINT_SIZE = 2, 0.15
_GAP = 10.0  # m between pads, which have frames of their own


def plan_dxf(paper: Paper) -> bytes:
    """Return the file; layers are named in plain words, pads stand side by side."""
    with undated():
        document = new("R2010", setup=False, units=_METRES)
        document.header["$INSUNITS"] = _METRES
        document.header["$MEASUREMENT"] = 1
        document.header["$PDMODE"], document.header["$PDSIZE"] = _POINT_AS_CROSS, _POINT_SIZE
        _draw(document, paper)
        out = io.StringIO()
        document.write(out)
    return out.getvalue().encode("utf-8")


@contextmanager
def undated() -> Generator[None]:
    """Keep the clock and random identities out of the file."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _draw(document: Drawing, paper: Paper) -> None:
    space, shifts = document.modelspace(), _shifts(paper)
    for feature in features(paper.pads):
        layer = (
            paper.say(f"layer-{feature.layer}")
            if feature.layer != "marks"
            else paper.name(f"words.{feature.kind}", feature.kind)
        )
        if layer not in document.layers:
            document.layers.add(layer)
        for part in parts(feature.geometry):
            _add(space, part, layer, shifts[feature.pad])


def _shifts(paper: Paper) -> dict[str, float]:
    """Return how far each pad is moved in x so that no two overlap; the first stays where it is. [m]"""
    shifts: dict[str, float] = {}
    edge: float | None = None
    for offer in paper.pads:
        reach = shapely.total_bounds([offer.pad.outline, *(mark.geometry for mark in offer.pad.marks)])
        shift = 0.0 if edge is None else max(edge + _GAP - float(reach[0]), 0.0)
        shifts[offer.pad.id] = shift
        edge = float(reach[2]) + shift
    return shifts


def _add(space: Modelspace, part: BaseGeometry, layer: str, shift: float) -> None:
    attributes = {"layer": layer}
    if isinstance(part, Polygon):
        for ring in (part.exterior, *part.interiors):
            space.add_lwpolyline(_places(ring, shift)[:-1], close=True, dxfattribs=attributes)
    elif isinstance(part, Point):
        space.add_point((part.x + shift, part.y), dxfattribs=attributes)
    else:
        space.add_lwpolyline(_places(part, shift), dxfattribs=attributes)


def _places(line: BaseGeometry, shift: float) -> list[tuple[float, float]]:
    return [(float(x) + shift, float(y)) for x, y in shapely.get_coordinates(line)]

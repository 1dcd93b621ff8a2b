"""Heaves, and the trees that they lie near."""

from __future__ import annotations

import math

import shapely
from shapely.geometry.base import BaseGeometry

from courtwright.ground.reading import Heave
from courtwright.site.record import Mark, Pad
from courtwright.trade.load import tolerances


def heaves(pad: Pad) -> tuple[Heave, ...]:
    """Return the heaves marked on a pad, each with its distance to the nearest marked tree.

    Parameters
    ----------
    pad : Pad
        With its marks. A heave without a radius or an outline has area 0.
    """
    trees = shapely.union_all([mark.geometry for mark in pad.of_kind("trees")])
    return tuple(_heave(mark, trees) for mark in pad.of_kind("heave") if not mark.geometry.is_empty)


def _heave(mark: Mark, trees: BaseGeometry) -> Heave:
    radius = mark.number("radius")
    area = float(mark.geometry.area) or (math.pi * radius**2 if radius else 0.0)
    middle = mark.geometry.representative_point()
    distance = None if trees.is_empty else float(mark.geometry.distance(trees))
    is_near = distance is not None and distance <= tolerances().tree_reach
    return Heave(mark.id, mark.number("height"), area, (middle.x, middle.y), distance, is_near)

"""The shots of a pad as small crosses, the doubtful ones named."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely import MultiLineString, Point

from courtwright.ground.heights import usable_shots
from courtwright.offer.canvas import Canvas
from courtwright.offer.colours import INK
from courtwright.offer.plan.scene import Scene
from courtwright.says import Says

_ARM, _WIDTH = 0.55, 0.15  # mm
_RING = 1.5  # mm
#: Closer than this on paper crosses run together. [mm]
_APART = 1.8
_LABELS = {"ground.shot-high": "shot-high-label", "ground.shot-low": "shot-low-label"}


def draw_shots(scene: Scene) -> None:
    """Draw the shots that the heights rest on; where they stand closer than can be drawn, one for its neighbours."""
    xyz, _ = usable_shots(scene.pad)
    places = np.column_stack([xyz[:, 0], -xyz[:, 1]]) * scene.per_metre
    shown = _apart(places)
    _crosses(scene.canvas, places[shown])
    if len(shown) < len(places):
        scene.explain("key-shots-some", _sample, drawn=len(shown), count=len(places))
    elif len(shown):
        scene.explain("key-shots", _sample, count=len(places))
    for note in scene.reading.notes:
        if note.id in _LABELS:
            _doubt(scene, note)


def _apart(places: NDArray[np.float64]) -> NDArray[np.int64]:
    """Return which places are drawn: the first in each square of a lattice."""
    if len(places) == 0:
        return np.empty(0, dtype=np.int64)
    if len(places) < 2 or _nearest(places) >= _APART:
        return np.arange(len(places))
    squares = np.floor(places / _APART).astype(np.int64)
    _, first = np.unique(squares, axis=0, return_index=True)
    return np.sort(first)


def _nearest(places: NDArray[np.float64]) -> float:
    """Return the usual distance of a place from its nearest. [mm]"""
    from scipy.spatial import KDTree

    away, _ = KDTree(places).query(places, k=2)
    return float(np.median(away[:, 1]))


def _crosses(canvas: Canvas, places: NDArray[np.float64]) -> None:
    arms = np.array([[(-_ARM, -_ARM), (_ARM, _ARM)], [(-_ARM, _ARM), (_ARM, -_ARM)]])
    lines = (places[:, None, None, :] + arms[None]).reshape(-1, 2, 2)
    canvas.shape(MultiLineString(list(lines)), stroke=INK, width=_WIDTH)


def _doubt(scene: Scene, note: Says) -> None:
    values = dict(note.values)
    x, y = scene.place((float(str(values["x"])), float(str(values["y"]))))
    ring = Point(x, y).buffer(_RING)
    scene.canvas.shape(ring.boundary, stroke=INK, width=0.3)
    scene.ink.append(ring)
    text = scene.say(_LABELS[note.id], name=values["name"] or scene.say("shot-unnamed"), off=values["off"])
    scene.label(text, (x, y))
    scene.explain("key-shot-doubtful", _sample_doubtful)


def _sample(canvas: Canvas, x: float, y: float) -> None:
    _crosses(canvas, np.array([(x + dx, y) for dx in (2.0, 6.0, 10.0)]))


def _sample_doubtful(canvas: Canvas, x: float, y: float) -> None:
    _crosses(canvas, np.array([(x + 6.0, y)]))
    canvas.shape(Point(x + 6.0, y).buffer(_RING).boundary, stroke=INK, width=0.3)

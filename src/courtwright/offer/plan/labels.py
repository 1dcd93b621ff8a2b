"""Places words on a drawing so that none lies on another, on leaders where they must stand aside."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapely import LineString, STRtree, box
from shapely.geometry.base import BaseGeometry

from courtwright.offer.canvas import LINE_HEIGHT, TYPE_SIZE, Canvas, Place
from courtwright.offer.colours import INK
from courtwright.offer.lettering import drawable, text_width

#: How far a label may stand from its place, nearest first. [mm]
_NEAR = (0.0, 1.2, 2.5, 4.0, 6.0, 8.0, 10.5, 13.0, 16.0, 19.5, 24.0)
_DISTANCES = (*_NEAR, 31.0, 40.0, 52.0, 66.0, 85.0, 110.0, 150.0, 200.0, 300.0)
_TURNS = 24
_LEADER_FROM = 2.6
_GAP = 0.7


@dataclass(frozen=True, slots=True)
class Label:
    """Words that belong to a place. [mm]

    ``inside`` when they may stand on the place itself; ``breaks_line`` when they do so whatever line is
    there, as the length on a dimension line.
    """

    text: str
    at: Place
    inside: bool = False
    breaks_line: bool = False


@dataclass(frozen=True, slots=True)
class _Placed:
    left: float
    middle: float
    body: BaseGeometry
    leader: LineString | None


def place_labels(canvas: Canvas, labels: Sequence[Label], ink: Sequence[BaseGeometry], widest: float) -> None:
    """Write every label, first come first placed, never on another and clear of ink where that is possible.

    Parameters
    ----------
    canvas : Canvas
        Where they are written.
    labels : sequence of Label
        Most important first.
    ink : sequence of BaseGeometry
        What a label should not cover. [mm]
    widest : float
        How wide the drawing may grow by its labels. [mm]
    """
    sheet = _Sheet(STRtree(list(ink)), ink, _sides(canvas, widest))
    chosen = [(label, sheet.place(label)) for label in labels]
    for _, placed in chosen:
        if placed.leader is not None:
            canvas.shape(placed.leader, stroke=INK, width=0.18)
    for label, placed in chosen:
        canvas.text(placed.left, placed.middle, label.text, backed=True)


def _sides(canvas: Canvas, widest: float) -> tuple[float, float]:
    """Return how far left and right labels may reach. [mm]"""
    left, _, right, _ = canvas.bounds
    spare = max(widest - (right - left), 0.0) / 2
    return left - spare, right + spare


class _Sheet:
    """What is taken on a sheet: by words, by leaders and by ink."""

    def __init__(self, tree: STRtree, ink: Sequence[BaseGeometry], sides: tuple[float, float]) -> None:
        self._tree, self._ink, self._sides = tree, ink, sides
        self._words: list[BaseGeometry] = []
        self._leaders: list[BaseGeometry] = []

    def place(self, label: Label) -> _Placed:
        """Return the nearest place that covers no label and least ink, and take it.

        Where there is none with a leader of its own, leaders may cross; then they may pass beneath words; then
        the drawing grows.
        """
        within, anywhere = self._sides, (-math.inf, math.inf)
        placed = (
            self._best(label, within, [*self._words, *self._leaders], self._words)
            or self._best(label, within, self._words, self._words)
            or self._best(label, within, self._words, [])
            or self._best(label, anywhere, self._words, [])
            or next(placed for _, placed in _candidates(label))
        )
        self._words.append(placed.body.buffer(_GAP / 2, join_style="mitre"))
        if placed.leader is not None:
            self._leaders.append(placed.leader)
        return placed

    def _best(
        self, label: Label, sides: tuple[float, float], body: list[BaseGeometry], leader: list[BaseGeometry]
    ) -> _Placed | None:
        """Return the best place whose words meet nothing of ``body`` and whose leader meets nothing of ``leader``."""
        best: tuple[float, _Placed] | None = None
        blocks_body, blocks_leader = STRtree(body), STRtree(leader)
        for distance, placed in _candidates(label):
            if best is not None and distance >= best[0]:
                break
            left, _, right, _ = placed.body.bounds
            if not label.breaks_line and (left < sides[0] or right > sides[1]):
                continue
            if _hits(blocks_body, placed.body):
                continue
            if placed.leader is not None and _hits(blocks_leader, placed.leader):
                continue
            ignores_ink = label.breaks_line and distance == 0
            score = distance + (0.0 if ignores_ink else 6.0 * _covered(self._tree, self._ink, placed.body))
            if best is None or score < best[0]:
                best = (score, placed)
        return best[1] if best is not None else None


def _hits(tree: STRtree, body: BaseGeometry) -> bool:
    return len(tree.query(body, predicate="intersects")) > 0


def _covered(tree: STRtree, ink: Sequence[BaseGeometry], body: BaseGeometry) -> float:
    """Return how much ink lies under a label: a length for lines, a side for areas. [mm]"""
    found = 0.0
    for index in tree.query(body, predicate="intersects"):
        common = ink[index].intersection(body)
        found += max(common.length if common.area == 0 else math.sqrt(common.area), 0.5)
    return found


def _candidates(label: Label) -> Iterator[tuple[float, _Placed]]:
    wide, high = text_width(drawable(label.text), TYPE_SIZE) + 1.0, LINE_HEIGHT
    x, y = label.at
    for distance in _DISTANCES if label.inside or label.breaks_line else _DISTANCES[1:]:
        for turn in range(1 if distance == 0 else _TURNS):
            dx, dy = math.cos(turn * math.tau / _TURNS), math.sin(turn * math.tau / _TURNS)
            reach = 0.0 if distance == 0 else distance + _to_edge(wide / 2, high / 2, dx, dy)
            cx, cy = x + reach * dx, y + reach * dy
            body = box(cx - wide / 2, cy - high / 2, cx + wide / 2, cy + high / 2)
            leader = None
            if distance > _LEADER_FROM:
                near = min(max(x, cx - wide / 2), cx + wide / 2), min(max(y, cy - high / 2), cy + high / 2)
                leader = LineString([(x, y), near])
            yield distance, _Placed(cx - wide / 2 + 0.5, cy, body, leader)


def _to_edge(half_wide: float, half_high: float, dx: float, dy: float) -> float:
    """Return the distance from a box's centre to its edge in a direction. [mm]"""
    return min(half_wide / abs(dx) if abs(dx) > 1e-9 else math.inf, half_high / abs(dy) if abs(dy) > 1e-9 else math.inf)

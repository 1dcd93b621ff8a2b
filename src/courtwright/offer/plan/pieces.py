"""Pieces of the slab that nothing holds: lifted off the sheet by a thin shadow, with their area."""

from __future__ import annotations

from shapely import box
from shapely.affinity import translate

from courtwright.offer.canvas import Canvas
from courtwright.offer.colours import INK, PAPER, SHADOW
from courtwright.offer.plan.scene import Scene

_LIFT = 0.9  # mm


def draw_pieces(scene: Scene) -> None:
    """Draw the shadow and the area of every free piece; a held piece has none."""
    for piece in scene.reading.pieces:
        if not piece.free:
            continue
        outline = scene.on_paper(piece.outline)
        scene.canvas.shape(translate(outline, _LIFT, _LIFT).difference(outline), fill=SHADOW)
        inside = outline.representative_point()
        scene.label(scene.say("piece-label", area=piece.area), (inside.x, inside.y), inside=True)
        scene.explain("key-piece", _sample)


def _sample(canvas: Canvas, x: float, y: float) -> None:
    body = box(x + 1, y - 1.7, x + 10.5, y + 1.1)
    canvas.shape(translate(body, _LIFT, _LIFT), fill=SHADOW)
    canvas.shape(body, fill=PAPER, stroke=INK, width=0.4)

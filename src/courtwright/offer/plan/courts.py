"""The slab's outline and the playing lines, as the paint is: the ruler of the plan."""

from __future__ import annotations

from shapely import GeometryCollection

from courtwright.offer.canvas import Canvas
from courtwright.offer.colours import HAIRLINE, INK
from courtwright.offer.plan.scene import Scene
from courtwright.site.lines import court_lines
from courtwright.trade.load import courts


def draw_courts(scene: Scene) -> None:
    """Draw the painted lines at their true width, and the outline of the slab."""
    for court in scene.pad.courts:
        spec = courts().get(court.sport)
        if spec is None:
            continue
        painted = GeometryCollection(list(court_lines(spec, court)))
        scene.canvas.shape(scene.on_paper(painted), fill=HAIRLINE)
        scene.explain("key-lines", _sample_lines)


def draw_outline(scene: Scene) -> None:
    """Draw the edge of the pavement."""
    outline = scene.on_paper(scene.pad.outline)
    scene.canvas.shape(outline, stroke=INK, width=0.45)
    scene.ink.append(outline.boundary)
    scene.explain("key-outline", _sample_outline)


def _sample_lines(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x, y), (x + 12, y), width=0.8, stroke=HAIRLINE)


def _sample_outline(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x, y), (x + 12, y), width=0.45)

"""What is built in or beside the pad, drawn as surveyors do."""

from __future__ import annotations

import math
from collections.abc import Callable

from shapely import LineString, Point, box
from shapely.geometry.base import BaseGeometry

from courtwright.offer.canvas import Canvas, Place, parts
from courtwright.offer.colours import INK, PAPER
from courtwright.offer.plan.scene import Scene
from courtwright.site.record import Mark

_FENCE_CROSS_EVERY = 9.0  # mm


def draw_fixtures(scene: Scene) -> None:
    """Draw every fixture of the pad."""
    for mark in scene.pad.marks:
        draw = _DRAWN.get(mark.kind)
        if draw is None:
            continue
        for part in parts(scene.on_paper(mark.geometry)):
            draw(scene, mark, part)
            scene.ink.append(part.buffer(1.0) if isinstance(part, Point) else part)


def _middle(part: BaseGeometry) -> Place:
    at = part.interpolate(0.5, normalized=True) if isinstance(part, LineString) else part.centroid
    return at.x, at.y


def _drain(scene: Scene, mark: Mark, part: BaseGeometry) -> None:
    if isinstance(part, LineString):
        channel = part.buffer(0.6, cap_style="flat")
        scene.canvas.shape(channel, fill=PAPER, stroke=INK, width=0.2)
        scene.canvas.shape(part, stroke=INK, width=0.9, dashes=(0.25, 0.7))
    else:
        _grate(scene.canvas, *_middle(part))
    if mark.properties.get("works") is False:
        scene.label(scene.say("drain-blocked-label"), _middle(part))
    scene.explain("key-drain", _grate_sample)


def _post(scene: Scene, mark: Mark, part: BaseGeometry) -> None:
    x, y = _middle(part)
    kind = mark.word("post") or "post"
    _POSTS.get(kind, _plain_post)(scene.canvas, x, y)
    lean, lifted = mark.number("lean_deg"), mark.properties.get("lifted")
    if lean:
        scene.label(scene.say("post-leans-label", lean=math.radians(lean)), (x, y))
    elif lifted is True or (isinstance(lifted, int | float) and lifted > 0):
        scene.label(scene.say("post-lifted-label"), (x, y))
    scene.explain(f"key-post-{kind}" if kind in _POSTS else "key-post", _POST_SAMPLES.get(kind, _sample_plain_post))


def _net_post(canvas: Canvas, x: float, y: float) -> None:
    canvas.shape(box(x - 0.65, y - 0.65, x + 0.65, y + 0.65), fill=INK)


def _plain_post(canvas: Canvas, x: float, y: float) -> None:
    canvas.dot((x, y), 0.6, fill=PAPER, width=0.25)


def _light_post(canvas: Canvas, x: float, y: float) -> None:
    canvas.dot((x, y), 1.0, fill=PAPER, width=0.25)
    canvas.line((x - 1.7, y), (x + 1.7, y), width=0.2)
    canvas.line((x, y - 1.7), (x, y + 1.7), width=0.2)


def _grate(canvas: Canvas, x: float, y: float) -> None:
    canvas.shape(box(x - 1.1, y - 1.1, x + 1.1, y + 1.1), fill=PAPER, stroke=INK, width=0.25)
    for d in (-0.5, 0.0, 0.5):
        canvas.line((x + d, y - 1.1), (x + d, y + 1.1), width=0.18)


def _gate(scene: Scene, mark: Mark, part: BaseGeometry) -> None:
    if isinstance(part, LineString):
        scene.canvas.shape(part, stroke=PAPER, width=1.2)
        scene.canvas.shape(part, stroke=INK, width=0.2, dashes=(1.0, 0.5))
        for end in (part.coords[0], part.coords[-1]):
            _plain_post(scene.canvas, end[0], end[1])
    else:
        _leaf(scene.canvas, *_middle(part))
    wide = mark.number("clear_width")
    text = scene.say("gate-label") if wide is None else scene.say("gate-width-label", width=wide)
    scene.label(text, _middle(part))
    scene.explain("key-gate", _sample_gate)


def _leaf(canvas: Canvas, x: float, y: float) -> None:
    canvas.dot((x - 1.6, y), 0.35)
    canvas.dot((x + 1.6, y), 0.35)
    canvas.line((x - 1.6, y), (x + 1.1, y - 1.7), width=0.3)


def _fence(scene: Scene, mark: Mark, part: BaseGeometry) -> None:
    if isinstance(part, LineString):
        _fence_line(scene.canvas, part)
        scene.explain("key-fence", _sample_fence)


def _fence_line(canvas: Canvas, line: LineString) -> None:
    canvas.shape(line, stroke=INK, width=0.2)
    count = max(int(line.length / _FENCE_CROSS_EVERY), 1)
    for i in range(count):
        at = line.interpolate((i + 0.5) / count, normalized=True)
        canvas.line((at.x - 0.6, at.y - 0.6), (at.x + 0.6, at.y + 0.6), width=0.2)
        canvas.line((at.x - 0.6, at.y + 0.6), (at.x + 0.6, at.y - 0.6), width=0.2)


def _wall(scene: Scene, mark: Mark, part: BaseGeometry) -> None:
    if isinstance(part, LineString):
        scene.canvas.shape(part.buffer(0.7, cap_style="flat"), fill=PAPER, stroke=INK, width=0.35)
        scene.explain("key-wall", _sample_wall)


def _joint(scene: Scene, mark: Mark, part: BaseGeometry) -> None:
    if isinstance(part, LineString):
        for side in (-0.3, 0.3):
            scene.canvas.shape(part.offset_curve(side), stroke=INK, width=0.15)
        scene.explain("key-joint", _sample_joint)


def _utility(scene: Scene, mark: Mark, part: BaseGeometry) -> None:
    located = mark.properties.get("located") is True
    if isinstance(part, LineString):
        scene.canvas.shape(part, stroke=INK, width=0.25, dashes=(4.0, 0.8, 0.4, 0.8) if located else (0.4, 1.2))
    else:
        x, y = _middle(part)
        scene.canvas.shape(box(x - 0.9, y - 0.9, x + 0.9, y + 0.9), fill=PAPER, stroke=INK, width=0.25)
        scene.canvas.line((x - 0.9, y - 0.9), (x + 0.9, y + 0.9), width=0.2)
    text = "utility-label" if located else "utility-unlocated-label"
    scene.label(scene.say(text, utility=mark.word("utility") or "unknown"), _middle(part))
    scene.explain("key-utility" if located else "key-utility-unlocated", _sample_utility if located else _sample_guess)


def _probe(scene: Scene, mark: Mark, part: BaseGeometry) -> None:
    x, y = _middle(part)
    _hole(scene.canvas, x, y)
    thick = mark.number("asphalt_thickness")
    if thick is not None:
        scene.label(scene.say("probe-label", thickness=thick), (x, y))
    scene.explain("key-probe", _sample_probe)


def _hole(canvas: Canvas, x: float, y: float) -> None:
    canvas.dot((x, y), 0.8, fill=PAPER, width=0.25)
    canvas.dot((x, y), 0.3)


def _sample_plain_post(canvas: Canvas, x: float, y: float) -> None:
    _plain_post(canvas, x + 6, y)


def _sample_net_post(canvas: Canvas, x: float, y: float) -> None:
    _net_post(canvas, x + 6, y)


def _sample_light(canvas: Canvas, x: float, y: float) -> None:
    _light_post(canvas, x + 6, y)


def _grate_sample(canvas: Canvas, x: float, y: float) -> None:
    _grate(canvas, x + 6, y)


def _sample_gate(canvas: Canvas, x: float, y: float) -> None:
    _leaf(canvas, x + 6, y + 0.7)


def _sample_fence(canvas: Canvas, x: float, y: float) -> None:
    _fence_line(canvas, LineString([(x, y), (x + 12, y)]))


def _sample_wall(canvas: Canvas, x: float, y: float) -> None:
    canvas.shape(box(x, y - 0.7, x + 12, y + 0.7), fill=PAPER, stroke=INK, width=0.35)


def _sample_joint(canvas: Canvas, x: float, y: float) -> None:
    for side in (-0.3, 0.3):
        canvas.line((x, y + side), (x + 12, y + side), width=0.15)


def _sample_utility(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x, y), (x + 12, y), width=0.25, dashes=(4.0, 0.8, 0.4, 0.8))


def _sample_guess(canvas: Canvas, x: float, y: float) -> None:
    canvas.line((x, y), (x + 12, y), width=0.25, dashes=(0.4, 1.2))


def _sample_probe(canvas: Canvas, x: float, y: float) -> None:
    _hole(canvas, x + 6, y)


_POSTS: dict[str, Callable[[Canvas, float, float], None]] = {
    "net": _net_post,
    "fence": _plain_post,
    "light": _light_post,
}
_POST_SAMPLES = {"net": _sample_net_post, "fence": _sample_plain_post, "light": _sample_light}
_DRAWN: dict[str, Callable[[Scene, Mark, BaseGeometry], None]] = {
    "drain": _drain,
    "post": _post,
    "gate": _gate,
    "fence": _fence,
    "wall": _wall,
    "joint": _joint,
    "utility": _utility,
    "probe": _probe,
}

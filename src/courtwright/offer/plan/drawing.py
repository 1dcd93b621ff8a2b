"""The plan of one pad, to scale."""

from __future__ import annotations

from courtwright.ground.reading import PadReading
from courtwright.offer.plan.courts import draw_courts, draw_outline
from courtwright.offer.plan.cracks import draw_cracks
from courtwright.offer.plan.dimensions import draw_dimensions
from courtwright.offer.plan.edges import draw_edges
from courtwright.offer.plan.far import draw_far, part_far
from courtwright.offer.plan.fit import MARGIN, WIDEST, largest_fit
from courtwright.offer.plan.fixtures import draw_fixtures
from courtwright.offer.plan.heaves import draw_heaves
from courtwright.offer.plan.labels import place_labels
from courtwright.offer.plan.low_spots import draw_low_spots
from courtwright.offer.plan.margin import draw_margin
from courtwright.offer.plan.notes import plan_notes
from courtwright.offer.plan.pieces import draw_pieces
from courtwright.offer.plan.repairs import draw_repairs
from courtwright.offer.plan.scene import Scene
from courtwright.offer.plan.slopes import draw_slopes
from courtwright.offer.plan.surface import draw_surface
from courtwright.offer.plan.trees import draw_trees
from courtwright.says import say
from courtwright.site.record import Pad
from courtwright.trade.words import Language, UnitSystem, render

#: From the ground up: what lies lower is drawn first.
_LAYERS = (
    draw_trees,
    draw_edges,
    draw_pieces,
    draw_surface,
    draw_low_spots,
    draw_courts,
    draw_repairs,
    draw_outline,
    draw_heaves,
    draw_fixtures,
    draw_cracks,
    draw_slopes,
    draw_dimensions,
    draw_far,
)


def plan_svg(pad: Pad, reading: PadReading, language: Language = "en", units: UnitSystem = "us") -> str:
    """Return the plan of a pad as SVG at its true size.

    Parameters
    ----------
    pad : Pad
        What was found.
    reading : PadReading
        What it means.
    language : {"en", "es"}
        Of every word on it.
    units : {"us", "metric"}
        Of every number and of the scale.

    Returns
    -------
    str
        The largest drawing, at a scale that a scale rule carries, that a page holds; everything drawn
        lies within its view box.
    """
    scene = largest_fit(pad.outline, units, lambda scale: _drawn(pad, reading, language, units, scale))
    return scene.canvas.svg(
        scene.say("plan-title", pad=pad.id), plan_description(pad, reading, language, units), margin=MARGIN
    )


def plan_description(pad: Pad, reading: PadReading, language: Language = "en", units: UnitSystem = "us") -> str:
    """Return what a plan shows, for a reader who cannot see it."""
    kinds = list(dict.fromkeys(mark.kind for mark in pad.marks))
    if reading.low_spots and "low-spot" not in kinds:
        kinds.append("low-spot")
    if not kinds:
        bare = "offer.plan-alt-counted" if pad.tallies else "offer.plan-alt-bare"
        return render(say(bare, pad=pad.id, area=reading.area), language, units)
    return render(say("offer.plan-alt", pad=pad.id, area=reading.area, marks=tuple(kinds)), language, units)


def _drawn(pad: Pad, reading: PadReading, language: Language, units: UnitSystem, scale: int) -> Scene:
    near, far = part_far(pad)
    scene = Scene(pad=near, reading=reading, language=language, units=units, scale=scale, far=far)
    for draw in _LAYERS:
        draw(scene)
    place_labels(scene.canvas, scene.labels, scene.ink, WIDEST - 2 * MARGIN)
    draw_margin(scene, plan_notes(scene))
    return scene

"""The ground of one pad: its heights as contours, low spots as water, slopes, and the shots they rest on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from courtwright.ground.reading import HeightGrid, PadReading
from courtwright.offer.ground.height_lines import (
    NINE_IN_TEN,
    HeightLines,
    draw_height_lines,
    height_lines,
    name_height_lines,
)
from courtwright.offer.ground.shots import draw_shots
from courtwright.offer.plan.courts import draw_courts, draw_outline
from courtwright.offer.plan.dimensions import draw_dimensions
from courtwright.offer.plan.edges import draw_edges
from courtwright.offer.plan.far import part_far
from courtwright.offer.plan.fit import MARGIN, WIDEST, largest_fit
from courtwright.offer.plan.fixtures import draw_fixtures
from courtwright.offer.plan.labels import place_labels
from courtwright.offer.plan.low_spots import draw_low_spots
from courtwright.offer.plan.margin import draw_margin
from courtwright.offer.plan.scene import Scene
from courtwright.offer.plan.slopes import draw_slopes
from courtwright.site.record import Pad
from courtwright.trade.words import Language, UnitSystem

#: What steers the water, and nothing else that was found.
_MARKS = ("edge", "drain")


def contours_svg(pad: Pad, reading: PadReading, language: Language = "en", units: UnitSystem = "us") -> str | None:
    """Return the contours of a pad as SVG at its true size; None where no heights are known.

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
    """
    grid = reading.heights
    if grid is None:
        return None
    lines = height_lines(grid, pad.outline, units)
    near, _ = part_far(replace(pad, marks=pad.of_kind(*_MARKS)))

    def drawn(scale: int) -> Scene:
        scene = Scene(pad=near, reading=reading, language=language, units=units, scale=scale)
        _draw(scene, lines, grid)
        return scene

    scene = largest_fit(pad.outline, units, drawn)
    count = len(reading.low_spots)
    return scene.canvas.svg(
        scene.say("contours-title", pad=pad.id),
        scene.say("contours-alt", pad=pad.id, area=reading.area, count=count),
        margin=MARGIN,
    )


def _draw(scene: Scene, lines: HeightLines, grid: HeightGrid) -> None:
    draw_edges(scene)
    draw_low_spots(scene)
    draw_courts(scene)
    draw_outline(scene)
    draw_height_lines(scene, lines)
    draw_shots(scene)
    draw_fixtures(scene)
    draw_slopes(scene)
    name_height_lines(scene, lines)
    draw_dimensions(scene)
    place_labels(scene.canvas, scene.labels, scene.ink, WIDEST - 2 * MARGIN)
    draw_margin(scene, _notes(scene, grid))


def _notes(scene: Scene, grid: HeightGrid) -> list[str]:
    known = grid.sd[np.isfinite(grid.sd)]
    off = NINE_IN_TEN * float(np.median(known)) if len(known) else 0.0
    notes = [scene.say("contours-doubt", count=grid.shots, off=off)]
    if not scene.reading.low_spots:
        notes.append(scene.say("contours-dry"))
    return notes

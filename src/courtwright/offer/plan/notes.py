"""What a plan cannot show, in words."""

from __future__ import annotations

from dataclasses import replace

from courtwright.offer.plan.scene import Scene
from courtwright.site.tallies import tallies_beyond_marks


def plan_notes(scene: Scene) -> list[str]:
    """Return what was not measured, not marked, or counted and not drawn."""
    notes: list[str] = []
    if scene.reading.heights is None:
        notes.append(scene.say("plan-no-heights"))
    drawn = (*scene.pad.marks, *scene.far)
    if tallies_beyond_marks(replace(scene.pad, marks=drawn)):
        notes.append(scene.say("plan-tallies" if drawn else "plan-only-tallies"))
    elif not drawn:
        notes.append(scene.say("plan-no-marks"))
    return notes

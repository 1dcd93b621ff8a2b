"""What every layer of a plan draws on: a sheet, and the reading of the pad on it."""

from __future__ import annotations

from dataclasses import dataclass

from courtwright.ground.reading import PadReading
from courtwright.offer.plan.sheet import Sheet
from courtwright.site.record import Mark


@dataclass(slots=True, kw_only=True)
class Scene(Sheet):
    """A pad being drawn with its reading; ``far`` holds what stands too far from it to be drawn."""

    reading: PadReading
    far: tuple[Mark, ...] = ()

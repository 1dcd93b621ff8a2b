"""A sheet of paper that something lies on to scale, with its words and its key."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from courtwright.offer.canvas import Canvas, Place
from courtwright.offer.plan.labels import Label
from courtwright.says import Says, say
from courtwright.site.record import Pad
from courtwright.trade.words import Language, UnitSystem, render

#: Draws the sample of a key entry in a box of 12 by 4 mm whose left middle is given.
Sample = Callable[[Canvas, float, float], None]


@dataclass(slots=True, kw_only=True)
class Sheet:
    """A pad's sheet at 1:``scale``; layers add to its canvas, labels, ink and key.

    ``ink`` holds what labels should not cover, in millimetres of paper. [mm]
    """

    pad: Pad
    language: Language
    units: UnitSystem
    scale: int
    canvas: Canvas = field(default_factory=Canvas)
    labels: list[Label] = field(default_factory=list[Label])
    ink: list[BaseGeometry] = field(default_factory=list[BaseGeometry])
    key: dict[Says, Sample] = field(default_factory=dict[Says, Sample])

    @property
    def per_metre(self) -> float:
        """Paper per metre of ground. [mm/m]"""
        return 1000.0 / self.scale

    def on_paper(self, geometry: BaseGeometry) -> BaseGeometry:
        """Return a geometry of the pad frame in millimetres of paper, y down."""
        k = self.per_metre
        return affine_transform(geometry, [k, 0.0, 0.0, -k, 0.0, 0.0])

    def place(self, at: tuple[float, float] | NDArray[np.float64]) -> Place:
        """Return a place of the pad frame in millimetres of paper, y down."""
        return float(at[0]) * self.per_metre, -float(at[1]) * self.per_metre

    def say(self, text: str, **values: object) -> str:
        """Return a text of this room in the reader's language and units."""
        return render(say(f"offer.{text}", **values), self.language, self.units)

    def label(self, text: str, at: Place, *, inside: bool = False) -> None:
        """Ask for words at a place of the paper. [mm]"""
        self.labels.append(Label(text, at, inside))

    def explain(self, text: str, sample: Sample, **values: object) -> None:
        """Add an entry to the key, once."""
        self.key.setdefault(say(f"offer.{text}", **values), sample)

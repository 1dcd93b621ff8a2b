"""What is drawn on the pads, as plain features for drawing and mapping programs, in metres of the pad frame."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from courtwright.offer.offered import PadOffer
from courtwright.site.lines import court_lines
from courtwright.site.record import Mark
from courtwright.trade.load import courts, mark_kinds


@dataclass(frozen=True, slots=True)
class Feature:
    """One thing drawn: on which layer, of which pad, and what is known of it."""

    layer: str
    pad: str
    id: str
    kind: str
    geometry: BaseGeometry
    value: float | None = None
    says: str = ""


#: How the name of a length ends outside; other kinds of property carry no unit, or have it in their name.
_UNITS = {"length": "_m", "small": "_m", "claim_or_small": "_m"}

#: Layers in the order they are written; ``value`` is a width, a depth or an area, as the layer's name tells.
LAYERS = ("outline", "court_lines", "marks", "low_spots", "pieces")


def features(pads: tuple[PadOffer, ...]) -> Iterator[Feature]:
    """Yield everything drawn, pad by pad."""
    for offer in pads:
        pad, reading = offer.pad, offer.reading
        yield Feature("outline", pad.id, pad.id, pad.surface or "unknown", pad.outline, reading.area)
        for court in pad.courts:
            spec = courts().get(court.sport)
            for number, line in enumerate(court_lines(spec, court) if spec is not None else ()):
                yield Feature("court_lines", pad.id, f"{court.id}-{number}", court.sport, line)
        for mark in pad.marks:
            yield Feature("marks", pad.id, mark.id, mark.kind, mark.geometry, mark.number("width"), _said(mark))
        for spot in reading.low_spots:
            yield Feature("low_spots", pad.id, spot.id, "low-spot", spot.outline, spot.depth_max)
        for piece in reading.pieces:
            kind = "body" if piece.is_body else "free" if piece.free else "held"
            yield Feature("pieces", pad.id, piece.id, kind, piece.outline, piece.area)


def _said(mark: Mark) -> str:
    """Return what was written of a mark; the unit ends the name."""
    kind = mark_kinds().get(mark.kind)
    specs = kind.properties if kind is not None else {}
    units = {name: _UNITS.get(spec.kind, "") for name, spec in specs.items()}
    return "; ".join(
        f"{name}{units.get(name, '') if isinstance(value, float) else ''}={_plain(value)}"
        for name, value in sorted(mark.properties.items())
    )


def _plain(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)

"""What is drawn on the pads, as plain features for drawing and mapping programs, in metres of the pad frame."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from courtwright.offer.offered import PadOffer
from courtwright.site.lines import court_lines
from courtwright.trade.load import courts


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
            says = "; ".join(f"{name}={_plain(value)}" for name, value in sorted(mark.properties.items()))
            yield Feature("marks", pad.id, mark.id, mark.kind, mark.geometry, mark.number("width"), says)
        for spot in reading.low_spots:
            yield Feature("low_spots", pad.id, spot.id, "low-spot", spot.outline, spot.depth_max)
        for piece in reading.pieces:
            kind = "body" if piece.is_body else "free" if piece.free else "held"
            yield Feature("pieces", pad.id, piece.id, kind, piece.outline, piece.area)


def _plain(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)

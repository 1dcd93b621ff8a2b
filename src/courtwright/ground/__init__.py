"""What a site's shots, marks and tallies mean: heights, water, flatness, slope, cracks, pieces, old repairs."""

from courtwright.ground.read import read_ground, read_pad
from courtwright.ground.reading import (
    CourtPlane,
    CrackReading,
    Flatness,
    GroundReading,
    Heave,
    HeightGrid,
    LowSpot,
    OldRepair,
    PadReading,
    Piece,
    WidthClass,
)

__all__ = [
    "CourtPlane",
    "CrackReading",
    "Flatness",
    "GroundReading",
    "Heave",
    "HeightGrid",
    "LowSpot",
    "OldRepair",
    "PadReading",
    "Piece",
    "WidthClass",
    "read_ground",
    "read_pad",
]

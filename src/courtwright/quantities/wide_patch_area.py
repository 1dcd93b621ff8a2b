"""Cracks too wide for a membrane, cracks along an edge, and small free pieces, cut out to the full depth."""

from __future__ import annotations

from collections.abc import Mapping

from shapely import unary_union
from shapely.geometry.base import BaseGeometry

from courtwright.measured import Measured
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.cut_out_length import cut_out_length
from courtwright.quantities.doubt import crack_doubt, crack_length, measured_length
from courtwright.quantities.known import Known, usual


def patch_area(length: Measured, width: Measured) -> Measured:
    """Return the area cut out along a crack. [m²]

    Parameters
    ----------
    length : Measured
        Length of the crack. [m]
    width : Measured
        Width that is cut out, at least 2 ft for the compactor. [m]

    Returns
    -------
    Measured
        Area. [m²]

    Examples
    --------
    10 lf by 2 ft are 20 sf of 0.09290304 m²:

    >>> round(patch_area(Measured(3.048), Measured(0.6096)).value / 0.09290304, 1)
    20.0
    """
    return length * width


def wide_patch_area(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return what is patched to the full depth. [m²]"""
    width = values["least_width"]
    wide, found = crack_length(known, "crack_length_wide", "wide_share")
    length = wide + _spanned(known, "edge_crack_length", crack_doubt(known, "edge_crack_length"))
    length = length + cut_out_length(known)
    drawn = usual("drawn_doubt").value
    old = _spanned(known, "failed_patch_area", drawn)
    pieces = patched_pieces(known).area
    area = patch_area(length, width) + Measured(pieces, drawn * pieces) + old
    name = "patch-area" if found else "patch-area-guessed"
    return worked(area, name, length=length.value, width=width.value, pieces=pieces, old=old.value)


def _spanned(known: Known, fact: str, relative: float) -> Measured:
    """Return a fact's middle and doubt; nothing where nobody knows. [SI of the fact]"""
    span = known.span(fact)
    return Measured(0.0) if span is None else measured_length(span, relative)


def patched_pieces(known: Known) -> BaseGeometry:
    """Return the free pieces that a full-depth patch takes out; empty when the option has no such patch."""
    if "full-depth-patch" not in known.remedies:
        return unary_union([])
    return unary_union([piece.outline for piece in known.reading.pieces if piece.free and not piece.is_body])

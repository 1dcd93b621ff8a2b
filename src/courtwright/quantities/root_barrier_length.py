"""The root barrier: along the side of the pad that trees stand beside."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.measured import Measured
from courtwright.quantities.along_outline import length_along
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.known import Known
from courtwright.quantities.sides import usual_side


def root_barrier_length(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the side along the trees with a margin at both ends; half of a long side when none are marked. [m]"""
    trees = [mark.geometry for mark in known.pad.of_kind("trees")]
    margin = values["margin"]
    length = length_along(
        known.pad.outline, trees, margin.value, values["reach"].value, spacing=values["spacing"].value
    )
    if length <= 0:
        side = usual_side(known.pad.outline)
        return worked(side, "side-guessed", length=side.value)
    return worked(Measured(length, 2 * margin.sd), "root-barrier", length=length, margin=margin.value)

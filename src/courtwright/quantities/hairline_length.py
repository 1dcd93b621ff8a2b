"""Cracks that are filled as preparation, sealed, or filled for looks: never those that a membrane covers."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.measured import Measured
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.doubt import crack_length
from courtwright.quantities.known import Known

_BRIDGED = ("membrane-repair", "cosmetic-fill", "rout-and-seal")


def hairline_length(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the cracks filled before colour: fine ones, and wider ones that nothing else takes. [m]"""
    del values
    if known.has_new_surface:
        return worked(Measured(0.0), "under-new-surface")
    taken = any(remedy in known.remedies for remedy in _BRIDGED)
    return _cracks(known, with_fine=True, with_bridgeable=not taken, with_wide=False)


def cosmetic_length(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the cracks filled and touched up: all of them. [m]"""
    del values
    return _cracks(known, with_fine=True, with_bridgeable=True, with_wide=True)


def sealed_length(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the cracks routed and sealed: those wider than hairlines. [m]"""
    del values
    return _cracks(known, with_fine=False, with_bridgeable=True, with_wide="full-depth-patch" not in known.remedies)


def relief_length(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the cracks that get a relief strip below new asphalt: those wider than hairlines. [m]"""
    del values
    return _cracks(known, with_fine=False, with_bridgeable=True, with_wide="full-depth-patch" not in known.remedies)


def _cracks(known: Known, *, with_fine: bool, with_bridgeable: bool, with_wide: bool) -> Worked:
    total, found = Measured(0.0), True
    for wanted, name in ((with_fine, "fine"), (with_bridgeable, "bridgeable"), (with_wide, "wide")):
        if wanted:
            length, was_found = crack_length(known, f"crack_length_{name}", f"{name}_share")
            total, found = total + length, found and was_found
    return worked(total, "crack-length" if found else "crack-length-guessed", length=total.value, sd=total.sd)

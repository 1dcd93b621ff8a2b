"""The old repairs that have failed and are replaced: their length by the share that sounds hollow."""

from __future__ import annotations

from collections.abc import Mapping

from courtwright.ground.reading import OldRepair
from courtwright.measured import Measured
from courtwright.quantities.amount import Worked, worked
from courtwright.quantities.doubt import measured_length
from courtwright.quantities.known import Known, usual

#: Half of a 90 % range in standard deviations of a normal.
_HALF_90 = 1.6449


def failed_length(length: Measured, share: Measured) -> Measured:
    """Return the failed length of a repair. [m]

    Parameters
    ----------
    length : Measured
        Length of the repair. [m]
    share : Measured
        Share of it that has failed, 0 to 1. [-]

    Returns
    -------
    Measured
        Failed length. [m]

    Examples
    --------
    >>> failed_length(Measured(40.0, 0.0), Measured(0.5, 0.1))
    Measured(value=20.0, sd=4.0)
    """
    return length * share


def hollow_length(known: Known, values: Mapping[str, Measured]) -> Worked:
    """Return the old repairs to take up and lay again. [m]"""
    del values
    if known.loses_surface:
        return worked(Measured(0.0), "surface-taken-off")
    repairs = [repair for repair in known.reading.old_repairs if repair.repair != "patch"]
    if repairs and not known.is_answered("hollow_share") and not known.is_answered("old_repair_length"):
        total = sum((_failed(repair) for repair in repairs), Measured(0.0))
        return worked(total, "hollow-length", length=sum(r.length for r in repairs), failed=total.value)
    length, share = _whole_length(known), _whole_share(known)
    total = failed_length(length, share)
    return worked(total, "hollow-length", length=length.value, failed=total.value)


def _failed(repair: OldRepair) -> Measured:
    length = Measured(repair.length, repair.length * usual("drawn_doubt").value)
    if repair.failed_share is None:
        return failed_length(length, usual("hollow_share"))
    low, high = repair.failed_share_range
    return failed_length(length, Measured(repair.failed_share, (high - low) / 2 / _HALF_90))


def _whole_length(known: Known) -> Measured:
    span = known.span("old_repair_length")
    if span is None:
        return usual("old_repair_length") * known.reading.area
    return measured_length(span, usual("answer_doubt").value)


def _whole_share(known: Known) -> Measured:
    span = known.span("hollow_share")
    return usual("hollow_share") if span is None else measured_length(span, 0.0)

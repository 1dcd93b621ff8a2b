"""A distress of the condition index as it was found: how much, and how severe."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Distress:
    """One distress at one severity on one sample unit.

    Parameters
    ----------
    number : int
        The standard's number, a key of ``trade.load.distresses``.
    severity : str
        ``L``, ``M`` or ``H``; ``-`` for a distress that has none.
    quantity : float
        Area, length or count, as the standard measures it. [m², m or -]
    assumed : bool
        Whether the severity or the size was assumed because nobody recorded it.
    """

    number: int
    severity: str
    quantity: float
    assumed: bool = False


def merged(distresses: tuple[Distress, ...]) -> tuple[Distress, ...]:
    """Return the distresses with those of one number and severity added up, in order of first appearance.

    Examples
    --------
    >>> [d.quantity for d in merged((Distress(10, "L", 3.0), Distress(11, "M", 1.0), Distress(10, "L", 2.0)))]
    [5.0, 1.0]
    """
    found: dict[tuple[int, str], Distress] = {}
    for one in distresses:
        key = (one.number, one.severity)
        before = found.get(key, Distress(*key, 0.0))
        found[key] = Distress(*key, before.quantity + one.quantity, before.assumed or one.assumed)
    return tuple(found.values())

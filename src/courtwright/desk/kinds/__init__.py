"""The kinds of long work: each a module of its name with ``run(payload, told)``, from bytes to bytes.

This register is all that the desk imports of them; a kind itself, and the rooms it needs, is loaded in a worker
process. What goes in and what comes out stands in each module's docstring; `asked` makes what goes in.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

#: Told of each finished step: how many are done, of how many.
Told = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Kind:
    """What one run of a kind of work may take.

    Parameters
    ----------
    most_seconds : float
        Time. [s]
    """

    most_seconds: float


KINDS: Mapping[str, Kind] = MappingProxyType(
    {
        "accepted": Kind(most_seconds=60.0),
        "answer": Kind(most_seconds=120.0),
        "offer": Kind(most_seconds=300.0),
        "photo": Kind(most_seconds=20.0),
        "stakes": Kind(most_seconds=120.0),
        "survey": Kind(most_seconds=60.0),
    }
)

__all__ = ["KINDS", "Kind", "Told"]

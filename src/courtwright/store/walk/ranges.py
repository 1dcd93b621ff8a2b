"""Keeps which ids were deleted, as ranges of clocks by client."""

from __future__ import annotations

import bisect
from collections.abc import Iterable


class Ranges:
    """Ranges of whole numbers by client, joined where they touch.

    Examples
    --------
    >>> ranges = Ranges()
    >>> ranges.add(1, 5, 2), ranges.add(1, 7, 1), ranges.add(1, 5, 3)
    (True, True, False)
    """

    __slots__ = ("_ends", "_starts")

    def __init__(self, ranges: Iterable[tuple[int, int, int]] = ()) -> None:
        self._starts: dict[int, list[int]] = {}
        self._ends: dict[int, list[int]] = {}
        for client, clock, length in ranges:
            self.add(client, clock, length)

    def add(self, client: int, clock: int, length: int) -> bool:
        """Take in a range; return whether any of it is new."""
        if self.has(client, clock, length):
            return False
        starts, ends = self._starts.setdefault(client, []), self._ends.setdefault(client, [])
        start, end = clock, clock + length
        first = bisect.bisect_left(ends, start)
        last = bisect.bisect_right(starts, end)
        if first < last:
            start, end = min(start, starts[first]), max(end, ends[last - 1])
        starts[first:last], ends[first:last] = [start], [end]
        return True

    def has(self, client: int, clock: int, length: int) -> bool:
        """Tell whether all of a range is in."""
        starts, ends = self._starts.get(client, []), self._ends.get(client, [])
        index = bisect.bisect_left(ends, clock + length)
        return not length or (index < len(starts) and starts[index] <= clock)

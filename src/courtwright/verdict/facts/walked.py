"""Whether a pad was walked, and what its silence then means."""

from __future__ import annotations

from courtwright.measured import Span
from courtwright.site.record import Pad


def was_walked(pad: Pad) -> bool:
    """Tell whether any mark or tally was taken on the pad."""
    return bool(pad.marks or pad.tallies)


def none_when_walked(pad: Pad) -> Span | None:
    """Return zero for a thing that a walk did not find; unknown where nobody walked."""
    return Span.exactly(0.0) if was_walked(pad) else None


def largest(numbers: list[float | None], pad: Pad) -> Span | None:
    """Return the largest of some marks' numbers, of which some may not have been given.

    With a number missing the largest may be any higher; with no mark at all it is what the walk's
    silence says. [SI of the numbers]
    """
    if not numbers:
        return none_when_walked(pad)
    known = [number for number in numbers if number is not None]
    low = max(known, default=0.0)
    return Span(low, low) if len(known) == len(numbers) else Span(low, float("inf"))

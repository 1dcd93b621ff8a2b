"""Old repairs: how much of each has failed, by tapping, or else by how it looks."""

from __future__ import annotations

import math

import numpy as np
import shapely
from scipy.stats import beta
from shapely import LineString, MultiPolygon, Polygon

from courtwright.ground.network import lines_of
from courtwright.ground.reading import OldRepair
from courtwright.site.record import Mark, Pad, Tally
from courtwright.trade.load import tolerances

#: Failed share and its range by the state that the walker gave, where nobody tapped. From memory.
_BY_STATE: dict[str | None, tuple[float | None, tuple[float, float]]] = {
    "sound": (0.0, (0.0, 0.1)),
    **dict.fromkeys(("hollow", "rippled", "split", "lifted"), (1.0, (0.8, 1.0))),
    None: (None, (0.0, 1.0)),
}


def old_repairs(pad: Pad, tallies: tuple[Tally, ...]) -> tuple[OldRepair, ...]:
    """Return the old repairs of a pad, drawn ones in the file's order, then counted ones.

    Parameters
    ----------
    pad : Pad
        With its marks; a sounding tells of the repair whose strip it lies on, or nearest to within a foot of it.
    tallies : tuple of Tally
        What was counted beyond the drawn marks.
    """
    drawn = [_unsounded(mark) for mark in pad.of_kind("old-repair")]
    taps = _taps(pad, [repair.outline for repair in drawn])
    sounded = [_sounded(repair, *taps[i]) for i, repair in enumerate(drawn)]
    counted = [tally for tally in tallies if tally.mark == "old-repair"]
    return (*sounded, *(_counted(tally, i + 1) for i, tally in enumerate(counted)))


def _unsounded(mark: Mark) -> OldRepair:
    length, width, outline = _strip(mark)
    share, span = _by_state(mark.word("state"))
    area = outline.area if not lines_of(mark) else length * (width or tolerances().strip_width)
    return OldRepair(mark.id, mark.word("repair"), length, area, width, share, span, 0, outline)


def _by_state(state: str | None) -> tuple[float | None, tuple[float, float]]:
    return _BY_STATE.get(state, _BY_STATE[None])


def _strip(mark: Mark) -> tuple[float, float | None, Polygon]:
    """Return a repair's length [m], its width where known [m], and its outline."""
    width = mark.number("strip_width")
    lines = lines_of(mark)
    if lines:
        merged = shapely.union_all(lines).buffer((width or tolerances().strip_width) / 2, cap_style="flat")
        return sum(line.length for line in lines), width, _one(merged)
    outline = _one(mark.geometry)
    box = shapely.get_coordinates(shapely.oriented_envelope(outline))
    sides = sorted(math.dist(box[i], box[i + 1]) for i in range(2)) if len(box) > 2 else [0.0, 0.0]
    return sides[1], width or sides[0], outline


def _one(shape: object) -> Polygon:
    if isinstance(shape, MultiPolygon):
        return max(shape.geoms, key=lambda part: part.area)
    return shape if isinstance(shape, Polygon) else Polygon()


def _taps(pad: Pad, outlines: list[Polygon]) -> list[tuple[int, int]]:
    """Return, for each outline, how many taps tell of it, and how many of them sounded hollow."""
    taps = [[0, 0] for _ in outlines]
    for tap in pad.of_kind("sounding"):
        sounds = tap.word("sounds")
        away = [math.inf if outline.is_empty else outline.distance(tap.geometry) for outline in outlines]
        if sounds is None or not away or min(away) > tolerances().sounding_reach:
            continue
        nearest = int(np.argmin(away))
        taps[nearest][0] += 1
        taps[nearest][1] += sounds == "hollow"
    return [(count, hollow) for count, hollow in taps]


def _sounded(repair: OldRepair, taps: int, hollow: int) -> OldRepair:
    if not taps:
        return repair
    return OldRepair(
        repair.id, repair.repair, repair.length, repair.area, repair.strip_width,
        hollow / taps, share_range(taps, hollow), taps, repair.outline,
    )  # fmt: skip


def share_range(taps: int, hollow: int) -> tuple[float, float]:
    """Return the 90 % range of the hollow share that some taps leave. [-]

    Parameters
    ----------
    taps, hollow : int
        How many taps, and how many sounded hollow. [-]

    Notes
    -----
    Equal-tailed interval of Jeffreys' posterior, closed at 0 when none was hollow and at 1 when all were.
    Takes the taps as independent; taps side by side tell less.

    References
    ----------
    Brown, Cai and DasGupta, "Interval estimation for a binomial proportion", Statistical Science 16 (2001), 4.1.2.

    Examples
    --------
    >>> [round(end, 3) for end in share_range(10, 3)]
    [0.117, 0.558]
    """
    low = 0.0 if hollow == 0 else float(beta.ppf(0.05, hollow + 0.5, taps - hollow + 0.5))
    high = 1.0 if hollow == taps else float(beta.ppf(0.95, hollow + 0.5, taps - hollow + 0.5))
    return low, high


def _counted(tally: Tally, ordinal: int) -> OldRepair:
    mark = Mark("", "old-repair", LineString(), tally.properties)
    width = mark.number("strip_width")
    strip = width or tolerances().strip_width
    length = tally.length if tally.length is not None else (tally.area or 0.0) / strip
    area = tally.area if tally.area is not None else length * strip
    share, span = _by_state(mark.word("state"))
    return OldRepair(f"counted-repair-{ordinal}", mark.word("repair"), length, area, width, share, span, 0, Polygon())

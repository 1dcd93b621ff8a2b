"""Takes millions of points into cells: the lowest of each, then how their heights are spread."""

from __future__ import annotations

from typing import Any

from numba import njit


@njit(cache=True)
def _place(raw: Any, i: int, scale: Any, frame: Any) -> Any:
    """Return a point in the pad's frame. [m]

    ``raw`` are its three whole numbers; ``scale`` holds their scales and offsets, ``frame`` an easting, a northing, and
    sine and cosine of the bearing of the pad's y axis.
    """
    x, y, z = raw
    east, north = x[i] * scale[0] + scale[3] - frame[0], y[i] * scale[1] + scale[4] - frame[1]
    across, along = east * frame[3] - north * frame[2], east * frame[2] + north * frame[3]
    return across, along, z[i] * scale[2] + scale[5]


@njit(cache=True)
def take_lowest(raw: Any, kind: Any, scale: Any, frame: Any, left: float, low: float, cell: float, lowest: Any) -> None:
    """Lower each cell to the lowest of its points: of all in ``lowest[0]``, of ground alone in ``lowest[1]`` [m].

    ``kind`` is 0 for a point that counts for nothing, 2 for one that is known as ground, 1 for any other.
    """
    _, rows, cols = lowest.shape
    per_cell = 1 / cell
    for i in range(len(kind)):
        if kind[i] == 0:
            continue
        x, y, z = _place(raw, i, scale, frame)
        if x < left or y < low:
            continue
        col, row = int((x - left) * per_cell), int((y - low) * per_cell)
        if row < rows and col < cols:
            lowest[0, row, col] = min(lowest[0, row, col], z)
            if kind[i] == 2:
                lowest[1, row, col] = min(lowest[1, row, col], z)


@njit(cache=True)
def take_spread(
    raw: Any, kind: Any, least: int, scale: Any, frame: Any, left: float, low: float, block: float,
    ground: Any, spacing: float, step: float, count: Any, total: Any, place: Any,
) -> int:  # fmt: skip
    """Count points of at least a kind by block and by height above the ground; return how many lay outside the steps.

    Shapes: ground (rows, cols) at nodes ``spacing`` apart [m]; count and total (rows, cols, steps), [-] and [m]; place
    (rows, cols, 2), sums of x and y of what was counted [m].
    """
    rows, cols, steps = count.shape
    last_row, last_col = ground.shape[0] - 1, ground.shape[1] - 1
    # Divided once: a division takes as long as all the rest of a point.
    per_block, per_node, per_step = 1 / block, 1 / spacing, 1 / step
    outside = 0
    for i in range(len(kind)):
        if kind[i] < least:
            continue
        x, y, z = _place(raw, i, scale, frame)
        x, y = x - left, y - low
        if x < 0 or y < 0:
            continue
        col, row = int(x * per_block), int(y * per_block)
        if row >= rows or col >= cols:
            continue
        # Nodes stand at the middles of the ground's cells.
        u, v = min(max(x * per_node - 0.5, 0.0), float(last_col)), min(max(y * per_node - 0.5, 0.0), float(last_row))
        c, r = min(int(u), max(last_col - 1, 0)), min(int(v), max(last_row - 1, 0))
        c1, r1 = min(c + 1, last_col), min(r + 1, last_row)
        s, t = u - c, v - r
        near = ground[r, c] * (1 - s) + ground[r, c1] * s
        far = ground[r1, c] * (1 - s) + ground[r1, c1] * s
        above = z - (near * (1 - t) + far * t)
        at = int(above * per_step + steps / 2) if above > -step * steps / 2 else -1
        if 0 <= at < steps:
            count[row, col, at] += 1
            total[row, col, at] += above
            place[row, col, 0] += x
            place[row, col, 1] += y
        else:
            outside += 1
    return outside

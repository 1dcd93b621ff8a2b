"""The cases that Python and TypeScript both keep to; ``spec/README.md`` tells the functions in words."""

from __future__ import annotations

import heapq
import itertools
import json
import math
from typing import Any

import numpy as np
import pytest
from shapely import Polygon

from courtwright.errors import QuantityError
from courtwright.ground import preview
from courtwright.ground.preview import preview_low_spots
from courtwright.ground.read import read_pad
from courtwright.site.folder import read_site
from courtwright.trade.load import tolerances
from courtwright.units import parse_length
from tests.places import DEMO_SITE, ROOT

CASES = ROOT / "spec" / "cases"


def _read(name: str) -> dict[str, Any]:
    return json.loads((CASES / name).read_text(encoding="utf-8"))


LENGTHS, LOW_SPOTS = _read("lengths.json"), _read("low_spots.json")

# --- lengths ------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", LENGTHS["read"], ids=lambda case: f"{case['text']!r} {case['default']}")
def test_a_length_is_read_as_written(case: dict[str, Any]):
    """What stands in the cases was worked out by hand: inches times 0.0254, millimetres, or metres."""
    assert parse_length(case["text"], case["default"]) == pytest.approx(case["metres"], rel=LENGTHS["tolerance"])


@pytest.mark.parametrize("case", LENGTHS["refused"], ids=lambda case: repr(case["text"])[:40])
def test_what_is_no_length_is_refused_for_its_reason(case: dict[str, Any]):
    """Nothing is guessed."""
    with pytest.raises(QuantityError) as told:
        parse_length(case["text"], case["default"])
    assert told.value.problem.id == f"units.{case['because']}"


def test_there_are_cases_of_every_sort():
    """At least eighty that are read, in both systems, and a few plain numbers; no text is there twice."""
    read = LENGTHS["read"]
    assert len(read) >= 80
    assert {case["default"] for case in read} == {"us", "metric"}
    assert sum(not isinstance(case["text"], str) for case in read) >= 3
    texts = [json.dumps([case["text"], case["default"]]) for case in (*read, *LENGTHS["refused"])]
    assert sorted(set(texts)) == sorted(texts)
    assert {case["because"] for case in LENGTHS["refused"]} == {"unreadable", "negative", "no-number"}


# --- low spots ----------------------------------------------------------------------------------


def _found(case: dict[str, Any]) -> list[dict[str, Any]] | None:
    found = preview_low_spots(np.array(case["shots_m"]), Polygon(case["outline_m"]))
    if found is None:
        return None
    return [
        {"at_m": list(spot.deepest), "depth_m": spot.depth, "area_m2": spot.area, "volume_l": spot.volume * 1000}
        for spot in found
    ]


def _agree(one: list[dict[str, Any]] | None, other: list[dict[str, Any]] | None) -> None:
    """Compare within the tolerance that the cases give."""
    assert (one is None) == (other is None)
    for mine, theirs in itertools.zip_longest(one or (), other or ()):
        for name, tolerance in LOW_SPOTS["tolerance"].items():
            assert mine[name] == pytest.approx(theirs[name], abs=tolerance, rel=0), name


@pytest.mark.parametrize("case", LOW_SPOTS["cases"], ids=lambda case: case["name"])
def test_the_preview_finds_the_low_spots_of_the_cases(case: dict[str, Any]):
    """Golden: our own output, looked at once against the hollows that were put into the shots."""
    _agree(_found(case), case["low_spots"])


@pytest.mark.parametrize("case", LOW_SPOTS["cases"], ids=lambda case: case["name"])
def test_the_words_of_the_readme_give_the_same(case: dict[str, Any]):
    """Written out plainly from its words, with a queue and an elimination of its own, as TypeScript has to."""
    _agree(_in_words(case["shots_m"], case["outline_m"], LOW_SPOTS["settings"]), case["low_spots"])


def test_the_settings_of_the_cases_are_those_of_the_preview():
    """A constant that changes in Python changes in the cases, where the client's test reads it."""
    assert LOW_SPOTS["settings"] == {
        "water_test_m": tolerances().water_test,
        "shot_reach_m": tolerances().shot_reach,
        "cell_m": preview.CELL,
        "most_nodes": preview.MOST_NODES,
        "most_shots": preview.MOST_SHOTS,
        "same_place_m": preview.SAME_PLACE,
        "on_a_line_m": preview.ON_A_LINE,
        "wet_m": preview.WET,
        "on_outline_m": preview.ON_OUTLINE,
    }


def test_there_are_shots_of_every_sort():
    """None that tells a surface, none with water, one low spot and several."""
    counts = [None if case["low_spots"] is None else len(case["low_spots"]) for case in LOW_SPOTS["cases"]]
    assert len(counts) >= 10
    assert {None, 0, 1, 2} <= set(counts)


def test_the_preview_shows_what_the_office_finds_where_no_dam_and_no_doubt_matters():
    """The demo's upper pad: the three deep low spots, each within half a metre and 5 mm of the office's."""
    (pad,) = (one for one in read_site(DEMO_SITE).pads if one.id == "upper")
    assert pad.shots is not None
    seen = preview_low_spots(pad.shots.xyz, pad.outline)
    assert seen is not None
    for spot in read_pad(pad).low_spots[:3]:
        near = min(seen, key=lambda one: math.dist(one.deepest, spot.deepest))
        assert math.dist(near.deepest, spot.deepest) < 0.5
        assert near.depth == pytest.approx(spot.depth_max, abs=0.005)


# --- the same once more, from the words ---------------------------------------------------------

Point = tuple[float, float]


def _in_words(
    shots: list[list[float]], outline: list[list[float]], settings: dict[str, float]
) -> list[dict[str, Any]] | None:
    ring = [(x, y) for x, y in outline]
    groups: list[list[list[float]]] = []
    for shot in shots:
        at = (shot[0], shot[1])
        if not _inside(at, ring) and _off(at, ring) > settings["shot_reach_m"]:
            continue
        own = [one for one in groups if math.dist(one[0][:2], at) < settings["same_place_m"]]
        if own:
            own[0].append(shot)
        else:
            groups.append([shot])
    points = [(one[0][0], one[0][1], sum(shot[2] for shot in one) / len(one)) for one in groups]
    if not 3 <= len(points) <= settings["most_shots"] or _lined_up(points, settings["on_a_line_m"]):
        return None
    xs, ys, cell = _nodes(ring, settings)
    surface = _surface(points)
    height: dict[tuple[int, int], float] = {
        (row, col): surface(x, y)
        for row, y in enumerate(ys)
        for col, x in enumerate(xs)
        if _inside((x, y), ring) or _off((x, y), ring) <= settings["on_outline_m"]
    }
    if min(len(xs), len(ys)) < 3:
        return []
    level = _filled(height)
    wet = {node: level[node] - height[node] for node in height if level[node] - height[node] > settings["wet_m"]}
    spots: list[dict[str, Any]] = []
    for area in _areas(wet):
        row, col = max(area, key=lambda node: wet[node])
        spot = {
            "at_m": [xs[col], ys[row]],
            "depth_m": wet[row, col],
            "area_m2": len(area) * cell**2,
            "volume_l": sum(wet[node] for node in area) * cell**2 * 1000,
        }
        spots.append(spot)
    return sorted((one for one in spots if one["depth_m"] > settings["water_test_m"]), key=lambda one: -one["depth_m"])


def _inside(at: Point, ring: list[Point]) -> bool:
    """Tell by counting the edges that a line to the right crosses."""
    crossed = False
    for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True):
        if (y0 > at[1]) != (y1 > at[1]) and at[0] < x0 + (at[1] - y0) / (y1 - y0) * (x1 - x0):
            crossed = not crossed
    return crossed


def _off(at: Point, ring: list[Point]) -> float:
    """Return the distance to the nearest edge. [m]"""
    least = math.inf
    for (x0, y0), (x1, y1) in zip(ring, ring[1:] + ring[:1], strict=True):
        along, length2 = (at[0] - x0) * (x1 - x0) + (at[1] - y0) * (y1 - y0), (x1 - x0) ** 2 + (y1 - y0) ** 2
        share = min(1.0, max(0.0, along / length2))
        least = min(least, math.dist(at, (x0 + share * (x1 - x0), y0 + share * (y1 - y0))))
    return least


def _lined_up(points: list[tuple[float, float, float]], near: float) -> bool:
    x0, y0, _ = points[0]
    far = max(points, key=lambda one: math.dist(one[:2], (x0, y0)))
    dx, dy = far[0] - x0, far[1] - y0
    return all(abs((x - x0) * dy - (y - y0) * dx) < near * math.hypot(dx, dy) for x, y, _ in points)


def _nodes(ring: list[Point], settings: dict[str, float]) -> tuple[list[float], list[float], float]:
    cell = settings["cell_m"]
    sides = [(min(one), max(one)) for one in ([x for x, _ in ring], [y for _, y in ring])]

    def counts() -> list[int]:
        return [math.floor((high - low) / cell + 1e-9) + 1 for low, high in sides]

    while math.prod(counts()) > settings["most_nodes"]:
        cell *= 2
    xs, ys = (
        [(low + high) / 2 + (i - (n - 1) / 2) * cell for i in range(n)]
        for (low, high), n in zip(sides, counts(), strict=True)
    )
    return xs, ys, cell


def _surface(points: list[tuple[float, float, float]]) -> Any:
    n = len(points)
    cx, cy, cz = (sum(one[k] for one in points) / n for k in range(3))
    scale = max(math.dist(one[:2], (cx, cy)) for one in points)
    at = [((x - cx) / scale, (y - cy) / scale) for x, y, _ in points]
    rows = [[*(math.dist(p, q) for q in at), 1.0, *p, points[i][2] - cz] for i, p in enumerate(at)]
    rows.append([1.0] * n + [0.0] * 4)
    rows += [[p[k] for p in at] + [0.0] * 4 for k in range(2)]
    weights = _solved(rows)

    def height(x: float, y: float) -> float:
        p = ((x - cx) / scale, (y - cy) / scale)
        cones = sum(w * math.dist(p, q) for w, q in zip(weights, at, strict=False))
        return cz + cones + weights[n] + weights[n + 1] * p[0] + weights[n + 2] * p[1]

    return height


def _solved(rows: list[list[float]]) -> list[float]:
    """Return the solution of linear equations, each with its right side last, by elimination with row exchange."""
    left = np.array(rows)
    n = len(left)
    for i in range(n):
        best = i + int(np.abs(left[i:, i]).argmax())
        left[[i, best]] = left[[best, i]]
        left[i + 1 :] -= np.outer(left[i + 1 :, i] / left[i, i], left[i])
    found = np.zeros(n)
    for i in reversed(range(n)):
        found[i] = (left[i, n] - left[i, i + 1 : n] @ found[i + 1 :]) / left[i, i]
    return [float(one) for one in found]


def _around(node: tuple[int, int]) -> list[tuple[int, int]]:
    return [(node[0] + i, node[1] + j) for i in (-1, 0, 1) for j in (-1, 0, 1) if i or j]


def _filled(height: dict[tuple[int, int], float]) -> dict[tuple[int, int], float]:
    level = {node: z for node, z in height.items() if any(one not in height for one in _around(node))}
    queue = [(z, node) for node, z in level.items()]
    heapq.heapify(queue)
    while queue:
        z, node = heapq.heappop(queue)
        for one in _around(node):
            if one in height and one not in level:
                level[one] = max(height[one], z)
                heapq.heappush(queue, (level[one], one))
    return level


def _areas(wet: dict[tuple[int, int], float]) -> list[list[tuple[int, int]]]:
    found: list[list[tuple[int, int]]] = []
    left = set(wet)
    while left:
        area = [left.pop()]
        for node in area:
            near = [one for one in _around(node) if one in left]
            left.difference_update(near)
            area += near
        found.append(area)
    return found

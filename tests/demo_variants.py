"""The demo site told another way: each function reads a site folder and returns a new one beside it.

The first six change nothing that matters (place, turn, hand, units, names, order); the last two take
something away from the pad *upper*. Every function takes the folder to read and the folder to write
(which must not exist) and returns the latter.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
import re
import shutil
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from shapely.geometry import LineString
from shapely.ops import substring

FOOT = 0.3048
_LENGTH = re.compile(r"(?:(\d+(?:\.\d+)?)(?:-(\d+)/(\d+))?|(\d+)/(\d+)) (in|ft)")

Move = Callable[[float, float], tuple[float, float]]


@dataclass(slots=True)
class Site:
    """A site folder as plain records, coordinates in the folder's own units."""

    toml: dict[str, Any]
    shots: dict[str, list[dict[str, str]]]
    marks: dict[str, Any]
    source: Path

    @classmethod
    def read(cls, folder: Path) -> Site:
        toml = tomllib.loads((folder / "site.toml").read_text(encoding="utf-8"))
        shots = {
            pad["shots"]: list(csv.DictReader(io.StringIO((folder / pad["shots"]).read_text(encoding="utf-8"))))
            for pad in toml["pad"]
        }
        return cls(toml, shots, json.loads((folder / "marks.geojson").read_text(encoding="utf-8")), folder)

    def write(self, folder: Path) -> Path:
        folder.mkdir(parents=True)
        (folder / "site.toml").write_text(_toml(self.toml), encoding="utf-8")
        for name, rows in self.shots.items():
            with (folder / name).open("w", encoding="utf-8", newline="") as file:
                writer = csv.DictWriter(file, list(rows[0]))
                writer.writeheader()
                writer.writerows(rows)
        (folder / "marks.geojson").write_text(json.dumps(self.marks), encoding="utf-8")
        shutil.copytree(self.source / "photos", folder / "photos")
        return folder

    def pad(self, pad_id: str) -> dict[str, Any]:
        return next(pad for pad in self.toml["pad"] if pad["id"] == pad_id)

    def of(self, pad_id: str, *kinds: str) -> list[dict[str, Any]]:
        """Return the features of a pad, of some kinds or all."""
        return [
            item
            for item in self.marks["features"]
            if item["properties"]["pad"] == pad_id and (not kinds or item["properties"]["mark"] in kinds)
        ]

    def place(self, move: Move) -> None:
        """Move every point of every pad: outlines, courts, shots and marks."""
        for pad in self.toml["pad"]:
            pad["outline"] = [list(move(x, y)) for x, y in pad["outline"]]
            for court in pad["court"]:
                court["centre"] = list(move(*court["centre"]))
            for row in self.shots[pad["shots"]]:
                x, y = move(float(row["easting"]), float(row["northing"]))
                row["easting"], row["northing"] = repr(x), repr(y)
        for item in self.marks["features"]:
            item["geometry"]["coordinates"] = _moved(item["geometry"]["coordinates"], move)


def moved(folder: Path, out: Path, by: tuple[float, float] = (412.0, -77.0)) -> Path:
    """Write every pad into a frame whose origin lies elsewhere."""
    site = Site.read(folder)
    site.place(lambda x, y: (x + by[0], y + by[1]))
    return site.write(out)


def turned(folder: Path, out: Path) -> Path:
    """Turn every pad a quarter to the left in its frame: (x, y) to (-y, x).

    A direction at a clockwise bearing b from +y is then at b - 90, so each court turns by -90. The new
    y axis is the old x axis, whose bearing from north is 90 more than the old y axis's.
    """
    site = Site.read(folder)
    site.place(lambda x, y: (0.0 - y, x))
    for pad in site.toml["pad"]:
        pad["north_deg"] += 90
        for court in pad["court"]:
            court["turned_deg"] -= 90
    return site.write(out)


def mirrored(folder: Path, out: Path) -> Path:
    """Mirror every pad at its y axis: (x, y) to (-x, y); clockwise turns become the opposite ones."""
    site = Site.read(folder)
    site.place(lambda x, y: (0.0 - x, y))
    for pad in site.toml["pad"]:
        pad["north_deg"] = -pad["north_deg"]
        for court in pad["court"]:
            court["turned_deg"] = -court["turned_deg"]
    return site.write(out)


def metric(folder: Path, out: Path) -> Path:
    """Write the same site in metres and millimetres."""
    site = Site.read(folder)
    site.place(lambda x, y: (x * FOOT, y * FOOT))
    for rows in site.shots.values():
        for row in rows:
            row["elevation"] = repr(float(row["elevation"]) * FOOT)
    for pad in site.toml["pad"]:
        for tally in pad.get("tally", []):
            if "length" in tally and not isinstance(tally["length"], str):
                tally["length"] *= FOOT
            if "area" in tally and not isinstance(tally["area"], str):
                tally["area"] *= FOOT**2
    site.toml = _in_metric(site.toml)
    site.marks = _in_metric(site.marks)
    site.toml["job"]["units"] = site.marks["units"] = "metric"
    return site.write(out)


def other_ids(folder: Path, out: Path) -> Path:
    """Give pads, courts, shots files and points other names."""
    site = Site.read(folder)
    names = {pad["id"]: f"slab {number}" for number, pad in enumerate(site.toml["pad"], start=7)}
    for pad in site.toml["pad"]:
        pad["id"] = names[pad["id"]]
        courts = {court["id"]: f"{pad['id']}.{number}" for number, court in enumerate(pad["court"])}
        for court in pad["court"]:
            court["id"] = courts[court["id"]]
        for tally in pad.get("tally", []):
            if "court" in tally:
                tally["court"] = courts[tally["court"]]
        rows = site.shots.pop(pad["shots"])
        pad["shots"] = f"levels-of-{pad['id'].replace(' ', '-')}.csv"
        site.shots[pad["shots"]] = [{**row, "point": f"p{row['point']}"} for row in rows]
    for item in site.marks["features"]:
        item["properties"]["pad"] = names[item["properties"]["pad"]]
    return site.write(out)


def swapped(folder: Path, out: Path) -> Path:
    """Write the pads, and the marks with them, in the opposite order."""
    site = Site.read(folder)
    ids = [pad["id"] for pad in site.toml["pad"]]
    site.toml["pad"].reverse()
    site.marks["features"] = [item for pad_id in reversed(ids) for item in site.of(pad_id)]
    return site.write(out)


def without_free_pieces(folder: Path, out: Path, pad_id: str = "upper", heave_inches: float = 1.0625) -> Path:
    """Leave only the middle half of each crack, so that none meet; lower the heaves to one height.

    Nothing rocks then, no crack is wider than 3/4 in and no step higher than 1/8 in. The trees stay, and a
    heave of a little over 1 in beside them still says that roots moved the base; the same heave without
    trees leaves 1-1/4 in of asphalt where it is ground off.
    """
    site = Site.read(folder)
    for crack in site.of(pad_id, "crack"):
        line = LineString(crack["geometry"]["coordinates"])
        middle = substring(line, 0.25, 0.75, normalized=True)
        crack["geometry"]["coordinates"] = [list(point) for point in middle.coords]
        crack["properties"] |= {"width": "3/8 in", "width_max": "3/4 in"}
        if "step" in crack["properties"]:
            crack["properties"]["step"] = "1/8 in"
    _lower_heaves(site, pad_id, heave_inches)
    answers = site.pad(pad_id)["answers"]
    answers["pieces_rock"] = False
    return site.write(out)


def without_trees(folder: Path, out: Path, pad_id: str = "upper") -> Path:
    """Take the trees away, and with them what was said of their roots; the heaves stay."""
    site = Site.read(folder)
    gone = site.of(pad_id, "trees")
    site.marks["features"] = [item for item in site.marks["features"] if item not in gone]
    answers = site.pad(pad_id)["answers"]
    answers["roots_lift_pad"] = False
    answers.pop("root_barrier_within_reach")
    return site.write(out)


def answering(folder: Path, out: Path, pad_id: str, answers: dict[str, Any]) -> Path:
    """Answer facts of one pad, over what was answered before."""
    site = Site.read(folder)
    site.pad(pad_id).setdefault("answers", {}).update(answers)
    return site.write(out)


#: The variants that must give the same options, states, recommendation and price.
SAME = {
    "moved": moved,
    "turned": turned,
    "mirrored": mirrored,
    "metric": metric,
    "other ids": other_ids,
    "swapped": swapped,
}


def _lower_heaves(site: Site, pad_id: str, inches: float) -> None:
    """Set every heave to one height and take the difference off the shots: a bump is half a cosine wave."""
    rows = site.shots[site.pad(pad_id)["shots"]]
    for heave in site.of(pad_id, "heave"):
        properties = heave["properties"]
        height, radius = _feet(properties["height"]), _feet(properties["radius"])
        less = height - inches / 12.0
        x, y = heave["geometry"]["coordinates"]
        for row in rows:
            share = min(np.hypot(float(row["easting"]) - x, float(row["northing"]) - y) / radius, 1.0)
            row["elevation"] = f"{float(row['elevation']) - less * 0.5 * (1.0 + np.cos(np.pi * share)):.3f}"
        properties["height"] = f"{inches} in"


def _moved(coordinates: Any, move: Move) -> Any:
    if isinstance(coordinates[0], int | float):
        return list(move(*coordinates))
    return [_moved(part, move) for part in coordinates]


def _feet(written: str) -> float:
    found = _LENGTH.fullmatch(written)
    assert found, written
    whole, over, under, alone_over, alone_under, unit = found.groups()
    value = float(whole or 0)
    if over or alone_over:
        value += int(over or alone_over) / int(under or alone_under)
    return value / 12.0 if unit == "in" else value


def _in_metric(value: Any) -> Any:
    """Return a tree of records with every written length in millimetres or metres."""
    if isinstance(value, dict):
        return {key: _in_metric(part) for key, part in value.items()}
    if isinstance(value, list):
        return [_in_metric(part) for part in value]
    if isinstance(value, str) and _LENGTH.fullmatch(value):
        metres = _feet(value) * FOOT
        return f"{metres * 1000:.10g} mm" if value.endswith("in") else f"{metres:.10g} m"
    return value


def _toml(table: dict[str, Any], path: str = "") -> str:
    """Write a table, its plain values first, then its tables and lists of tables."""
    plain = [f"{key} = {_value(value)}\n" for key, value in table.items() if not _is_nested(value)]
    parts = ["".join(plain)]
    for key, value in table.items():
        name = f"{path}.{key}".lstrip(".")
        if isinstance(value, dict):
            parts.append(f"\n[{name}]\n{_toml(value, name)}")
        elif _is_nested(value):
            parts += [f"\n[[{name}]]\n{_toml(item, name)}" for item in value]
    return "".join(parts)


def _is_nested(value: Any) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and bool(value) and isinstance(value[0], dict))


def _value(value: Any) -> str:
    if isinstance(value, dt.date):
        return value.isoformat()
    return json.dumps(value, ensure_ascii=False)

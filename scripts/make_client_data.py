"""Writes web/src/data: what the client knows without signal; ``make docs`` runs it, and a test compares.

python scripts/make_client_data.py        writes web/src/data
python scripts/make_client_data.py DIR    writes DIR
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Literal

from courtwright.site.lines import corners, line_paths, net_posts, outer_size
from courtwright.site.record import Court
from courtwright.store.rows.jobs import STAGES
from courtwright.trade import tables
from courtwright.trade.court_records import CourtSpec
from courtwright.trade.load import courts, facts, mark_kinds
from courtwright.trade.records import FactSpec, MarkKind, MarkProperty, Worded
from courtwright.trade.words import word
from courtwright.verdict.facts.settling import Evidence, settled_by

ROOT = Path(__file__).resolve().parents[1]
#: Decimals of a place on a court: a tenth of a millimetre. [-]
PLACES = 4
#: Turn between two points of an arc: its chord leaves a 7 m circle by less than 3 mm. [rad]
ARC_STEP = math.radians(3.0)
#: Names of lengths in `Evidence`, which get their unit here.
LENGTHS = ("near_edge", "length")

SIDES = ("near", "far", "left", "right")

Json = object
Language = Literal["en", "es"]


def both(text: Worded) -> dict[str, str]:
    """Return a text in both languages."""
    return {"en": text.en, "es": text.es}


def worded(name: str) -> dict[str, str]:
    """Return a word of the trade in both languages."""
    languages: tuple[Language, Language] = ("en", "es")
    return {language: word(name, language) for language in languages}


def choices(words: Iterable[str]) -> list[Json]:
    """Return the words that may be chosen, as files write them and as people read them."""
    return [{"id": name, "label": worded(name)} for name in words]


def metres(length: float) -> float:
    """Return a length for JSON, a tenth of a millimetre fine. [m]"""
    return round(float(length), PLACES) + 0.0


# --- facts --------------------------------------------------------------------------------------


def fact_list() -> list[Json]:
    """Return every fact in the trade's order."""
    subjects = {
        name: file.name.removesuffix(".toml") for file in tables.folder("facts") for name in tables.load_toml(file)
    }
    ways = settled_by()
    return [_fact(name, spec, subjects[name], ways.get(name, ())) for name, spec in facts().items()]


def _fact(name: str, spec: FactSpec, subject: str, ways: Iterable[Evidence]) -> Json:
    return {
        "id": name,
        "subject": subject,
        "kind": spec.kind,
        "title": both(spec.title),
        "how": both(spec.how),
        **({"tool": both(spec.tool)} if spec.tool else {}),
        "minutes": spec.minutes,
        "leaves_hole": spec.leaves_hole,
        **({"choices": choices(spec.words)} if spec.words else {}),
        "settled_by": [_evidence(way) for way in ways],
    }


def _evidence(way: Evidence) -> Json:
    """Return what an evidence asks for, and nothing of what it leaves open."""
    asked = {field.name: getattr(way, field.name) for field in fields(way)}
    return {
        f"{name}_m" if name in LENGTHS else name: list(value) if isinstance(value, tuple) else value
        for name, value in asked.items()
        if value is not None and (value or name == "shots")
    }


# --- marks --------------------------------------------------------------------------------------


def mark_list() -> list[Json]:
    """Return every kind of mark."""
    return [_mark(name, kind) for name, kind in mark_kinds().items()]


def _mark(name: str, kind: MarkKind) -> Json:
    return {
        "id": name,
        "label": both(kind.title),
        "geometry": list(kind.geometry),
        "lies": kind.lies,
        "properties": [_property(key, spec) for key, spec in kind.properties.items()],
    }


def _property(name: str, spec: MarkProperty) -> Json:
    return {
        "id": name,
        "label": both(spec.title),
        "kind": spec.kind,
        **({"choices": choices(spec.words)} if spec.words else {}),
        **({"quick": {"us": list(spec.quick.us), "metric": list(spec.quick.metric)}} if spec.quick else {}),
    }


# --- courts -------------------------------------------------------------------------------------


def court_list() -> list[Json]:
    """Return every sport with its lines."""
    return [_court(spec) for spec in courts().values()]


def _court(spec: CourtSpec) -> Json:
    length, width = outer_size(spec)
    here = Court("", spec.id, (0.0, 0.0))
    return {
        "id": spec.id,
        "label": both(spec.name),
        "length_m": metres(length),
        "width_m": metres(width),
        "pad": _pad(spec),
        **({"run_off": _run_off(spec)} if spec.run_offs else {}),
        **({"gap_m": metres(spec.spacings[0].gap)} if spec.spacings else {}),
        "lines": [
            {"id": path.id, "width_m": metres(path.width), "points_m": [_place(x, y) for x, y in path.points]}
            for path in line_paths(spec, ARC_STEP)
        ],
        "net_posts_m": [_place(*post) for post in net_posts(spec, here)],
        "corners": [
            {"id": name, "label": _corner(name), "at_m": _place(*at)}
            for name, at in sorted(corners(spec, here).items())
        ],
    }


def _corner(name: str) -> Json:
    """Return the name of a corner for readers: in English where it lies comes first, in Spanish last."""
    where = [part for part in name.split("-") if part in SIDES]
    what = name.removeprefix("-".join([*where, ""]))
    return {
        "en": " ".join(word(part, "en") for part in [*where, what]),
        "es": " ".join(word(part, "es") for part in [what, *where]),
    }


def _pad(spec: CourtSpec) -> Json:
    """Return the usual pad of one court: as sources say, else the court with its run-offs."""
    if spec.pads:
        return {"length_m": metres(spec.pads[0].length), "width_m": metres(spec.pads[0].width)}
    length, width = outer_size(spec)
    side, end = (spec.run_offs[0].side, spec.run_offs[0].end) if spec.run_offs else (0.0, 0.0)
    return {"length_m": metres(length + 2 * end), "width_m": metres(width + 2 * side)}


def _run_off(spec: CourtSpec) -> Json:
    return {"side_m": metres(spec.run_offs[0].side), "end_m": metres(spec.run_offs[0].end)}


def _place(x: float, y: float) -> list[float]:
    return [metres(x), metres(y)]


# --- stages -------------------------------------------------------------------------------------


def stage_list() -> list[Json]:
    """Return the stages of a job, in their order."""
    return [{"id": stage, "label": worded(stage)} for stage in STAGES]


# --- writing ------------------------------------------------------------------------------------

FILES: Mapping[str, Callable[[], list[Json]]] = {
    "courts.json": court_list,
    "facts.json": fact_list,
    "marks.json": mark_list,
    "stages.json": stage_list,
}
#: What fits on a line this long is not broken. [characters]
WIDTH = 120


def written(value: Json, indent: str = "") -> str:
    """Return JSON, broken where it does not fit on a line."""
    plain = json.dumps(value, ensure_ascii=False)
    if len(indent) + len(plain) <= WIDTH or not isinstance(value, dict | list) or _is_places(value):
        return plain
    inner = indent + "  "
    if isinstance(value, dict):
        parts = [f"{json.dumps(key)}: {written(one, inner)}" for key, one in value.items()]
    else:
        parts = [written(one, inner) for one in value]
    begin, end = "{}" if isinstance(value, dict) else "[]"
    return f"{begin}\n{inner}" + f",\n{inner}".join(parts) + f"\n{indent}{end}"


def _is_places(value: Json) -> bool:
    """Tell whether a value is a list of places, which stands on one line however long."""
    return isinstance(value, list) and bool(value) and all(isinstance(one, list) for one in value)


def data() -> dict[str, str]:
    """Return every file by name."""
    return {name: written(made()) + "\n" for name, made in FILES.items()}


def main(folder: Path) -> None:
    """Write the files."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, text in data().items():
        (folder / name).write_text(text, encoding="utf-8")
    print(f"{len(FILES)} files in {folder}")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "web" / "src" / "data")

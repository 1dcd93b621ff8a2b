"""What settles a fact without an answer, compared with what the facts of a pad are."""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from courtwright.ground.read import read_pad
from courtwright.site.record import Court, Mark, Pad, Shots, Tally
from courtwright.site.tallies import tallies_beyond_marks
from courtwright.trade.load import facts as fact_specs
from courtwright.trade.load import mark_kinds
from courtwright.verdict.facts import facts_of
from courtwright.verdict.facts.settling import Evidence, settled_by
from tests.places import DEMO_SITE

SLAB = box(0, 0, 40, 20)
YEAR = 2026
#: Where marks of a kind are drawn in these tests; the others in the middle of the slab.
PLACES: Mapping[str, BaseGeometry] = {
    "edge": LineString([(0, 0), (40, 0), (40, 20), (0, 20), (0, 0)]),
    "sand": box(1, 0, 3, 0.5),
    "crack": LineString([(5, 5), (9, 5)]),
    "trees": LineString([(0, 30), (40, 30)]),
}
PAD_VALUES: Mapping[str, object] = {
    "surface": "asphalt",
    "built": 1975,
    "coating": "acrylic",
    "last_resurfaced": 2010,
    "asphalt_thickness": 0.08,
    "base_thickness": 0.15,
}
#: Marks that change nothing but that the pad was walked.
SEEN = Mark("seen", "fence", LineString([(0, 30), (1, 30)]))


def _shots() -> Shots:
    places = [(x, y, 100.0 + 0.01 * x) for x in (0.5, 10.0, 20.0, 30.0, 39.5) for y in (0.5, 10.0, 19.5)]
    return Shots(np.array(places))


def _properties(kind: str, names: tuple[str, ...], words: Mapping[str, str]) -> dict[str, object]:
    """Return a value for each named property of a kind of mark."""
    found: dict[str, object] = dict(words)
    for name in names:
        spec = mark_kinds()[kind].properties[name]
        found[name] = spec.words[0] if spec.words else True if spec.kind == "claim" else "open"
        if spec.kind in ("length", "small"):
            found[name] = 0.05
    return found


def _made(way: Evidence) -> tuple[Pad, int | None]:
    """Return a pad that has what a way asks for and as little else as can be, and the year of its walk."""
    pad = Pad("p", SLAB)
    keys = {name: PAD_VALUES[name] for name in way.pad} | dict(way.pad_is) | dict(way.pad_from)
    marks = (SEEN,) if way.walked else ()
    if way.mark:
        made = Mark("m", way.mark, PLACES.get(way.mark, Point(20, 10)), _properties(way.mark, way.has, way.mark_is))
        marks = (*marks, made)
    courts = (Court("1", "tennis", (20.0, 10.0), np.pi / 2),) if way.court else ()
    counted = _properties(way.tally, (way.tally_has,) if way.tally_has else (), {}) if way.tally else {}
    tallies = (Tally(way.tally, length=30.0, properties=counted),) if way.tally else ()
    pad = replace(pad, marks=marks, tallies=tallies, courts=courts, shots=_shots() if way.shots else None, **keys)
    return pad, YEAR if "walked_on" in way.walk else None


def _known(pad: Pad, year: int | None) -> set[str]:
    return {name for name, fact in facts_of(pad, read_pad(pad), year).items() if fact.value is not None}


WAYS = [(name, way) for name, ways in settled_by().items() for way in ways]


@pytest.mark.parametrize(("name", "way"), [pytest.param(n, w, id=f"{n}-{i}") for i, (n, w) in enumerate(WAYS)])
def test_what_a_way_asks_for_settles_its_fact(name: str, way: Evidence):
    """A pad with just that has the fact known."""
    if way.facts:
        pad, _ = _made(Evidence(walked=True, pad=("asphalt_thickness",)))
        assert set(way.facts) <= _known(pad, None)
        assert name in _known(pad, None)
        return
    assert name in _known(*_made(way))


def test_a_pad_of_which_nothing_was_recorded_settles_nothing():
    """Only an outline: no fact is known."""
    assert _known(Pad("p", SLAB), None) == set()


@pytest.mark.parametrize(("name", "way"), [pytest.param(n, w, id=f"{n}-{i}") for i, (n, w) in enumerate(WAYS)])
def test_nothing_that_a_way_asks_for_can_be_left_out(name: str, way: Evidence):
    """With one part taken away, that way alone leaves the fact unknown, unless another way has the rest."""
    for less in _lessened(way):
        pad, year = _made(less)
        others = any(_holds(other, pad, year) for other in settled_by()[name])
        assert others or name not in _known(pad, year), less


def _lessened(way: Evidence) -> Iterator[Evidence]:
    blank = Evidence()
    for field in ("walked", "court", "pad", "pad_is", "pad_from", "walk", "has", "mark_is"):
        if getattr(way, field) != getattr(blank, field):
            yield replace(way, **{field: getattr(blank, field)})
    if way.shots:
        yield replace(way, shots=None)
    if way.mark:
        yield replace(way, mark="", has=(), mark_is={}, each=False, on_pad=False, near_edge=None, length=None)
    if way.tally:
        yield replace(way, tally_has="")
        yield replace(way, tally="", tally_has="", tally_beyond=False)


@pytest.mark.parametrize(("counted", "is_known"), [(3.0, False), (4.0, False), (5.0, True)])
def test_a_width_that_was_counted_stands_beside_drawn_cracks_as_far_as_more_was_counted(counted: float, is_known: bool):
    """4 m of crack are drawn without a width: a tally tells one only of what goes beyond them."""
    crack = Mark("c", "crack", PLACES["crack"])
    pad = Pad("p", SLAB, marks=(crack,), tallies=(Tally("crack", length=counted, properties={"width": 0.006}),))
    assert ("crack_width_max" in _known(pad, None)) is is_known
    assert any(_holds(way, pad, None) for way in settled_by()["crack_width_max"]) is is_known


# --- the demo and parts of it -------------------------------------------------------------------


def _holds(way: Evidence, pad: Pad, year: int | None) -> bool:
    """Tell whether a pad's record has what a way asks for, as a client would, but for the facts that it rests on."""
    shots = pad.shots is not None and len(pad.shots.xyz) >= 3
    tests = (
        not way.walked or bool(pad.marks or pad.tallies),
        way.shots is None or way.shots == shots,
        not way.court or bool(pad.courts),
        all(getattr(pad, key) is not None for key in way.pad),
        all(getattr(pad, key) == word for key, word in way.pad_is.items()),
        all((getattr(pad, key) or 0) >= year for key, year in way.pad_from.items()),
        not way.walk or year is not None,
        not way.mark or _has_mark(way, pad),
        not way.tally or any(t.length and _tells(t, way.tally_has) for t in _counted(way, pad)),
        not way.no_mark or not pad.of_kind(way.no_mark),
        not way.no_tally or not any(tally.mark == way.no_tally for tally in pad.tallies),
        not way.facts,
    )
    return all(tests)


def _counted(way: Evidence, pad: Pad) -> list[Tally]:
    tallies = tallies_beyond_marks(pad) if way.tally_beyond else pad.tallies
    return [tally for tally in tallies if tally.mark == way.tally]


def _tells(tally: Tally, name: str) -> bool:
    return not name or tally.properties.get(name) is not None


def _has_mark(way: Evidence, pad: Pad) -> bool:
    marks = [m for m in pad.of_kind(way.mark) if not way.on_pad or m.geometry.intersects(pad.outline)]
    good = [mark for mark in marks if _is_as_asked(way, mark, pad.outline)]
    return len(good) == len(marks) > 0 if way.each else bool(good)


def _is_as_asked(way: Evidence, mark: Mark, outline: Polygon) -> bool:
    return (
        all(mark.properties.get(name) is not None for name in way.has)
        and all(mark.properties.get(name) == word for name, word in way.mark_is.items())
        and (way.near_edge is None or mark.geometry.distance(outline.exterior) < way.near_edge)
        and (way.length is None or mark.geometry.length >= way.length)
    )


@functools.cache
def _demo() -> tuple[Pad, ...]:
    from courtwright.site.folder import read_site  # read once, and only where these tests run

    return read_site(DEMO_SITE).pads


def _parts(pad: Pad) -> Iterator[Pad]:
    """Yield a pad, and it without each kind of its marks, its tallies, its shots, its courts and its keys."""
    bare = replace(pad, answers=(), shots=None)
    yield replace(pad, answers=())
    yield bare
    for kind in sorted({mark.kind for mark in pad.marks}):
        yield replace(bare, marks=tuple(mark for mark in pad.marks if mark.kind != kind))
        yield replace(bare, marks=pad.of_kind(kind), tallies=())
        yield replace(bare, marks=tuple(replace(mark, properties={}) for mark in pad.of_kind(kind)), tallies=())
    yield replace(bare, marks=(), tallies=(*pad.tallies, Tally("heave", count=2), Tally("crack", length=3.0)))
    wide = Tally("crack", length=300.0, properties={"width": 0.006})
    yield replace(bare, marks=tuple(replace(mark, properties={}) for mark in pad.of_kind("crack")), tallies=(wide,))
    yield replace(bare, courts=())
    for key in PAD_VALUES:
        yield replace(bare, **{key: None})


@pytest.mark.parametrize("number", [0, 1])
def test_what_is_settled_is_known_on_parts_of_the_demo(number: int):
    """Whatever is taken from the record, a fact that a way settles is known, but for what rests on other facts."""
    settled = 0
    for pad in _parts(_demo()[number]):
        known = _known(pad, YEAR)
        found = {name for name, way in WAYS if _holds(way, pad, YEAR)}
        assert found <= known, pad
        settled += len(found)
    assert settled > 100


def test_every_fact_that_a_way_settles_is_a_fact_and_its_keys_are_those_of_the_record():
    """Names of facts, marks, properties and keys are the record's own."""
    keys = {field.name for field in dataclasses.fields(Pad)}
    for name, way in WAYS:
        assert {name, *way.facts} <= set(fact_specs())
        assert {*way.pad, *way.pad_is, *way.pad_from} <= keys
        for kind in {way.mark, way.no_mark, way.no_tally, way.tally} - {""}:
            assert kind in mark_kinds()
        if way.tally:
            assert way.tally_has in mark_kinds()[way.tally].properties
        if way.mark:
            assert {*way.has, *way.mark_is} <= set(mark_kinds()[way.mark].properties)

"""Reads ``marks.geojson``: a FeatureCollection in the pad frame, each feature a mark."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from courtwright import units
from courtwright.site.complaints import Complaints, short, suggestion
from courtwright.site.formats import json_text
from courtwright.site.formats.drawing import SHAPES, NotDrawn, drawn, shape_of
from courtwright.site.formats.fields import Fields
from courtwright.site.formats.properties import properties_of
from courtwright.site.formats.text import decoded
from courtwright.site.placing import Placer
from courtwright.site.record import Mark
from courtwright.trade.load import mark_kinds

#: Members of a collection that GeoJSON or common programs write, besides ``units``.
_MEMBERS = ("type", "features", "units", "name", "bbox", "crs", "properties", "id", "description", "generator")
_WRAP = '{"type": "FeatureCollection", "features": […]}'
#: No walk marks so many; a file of garbage may hold millions, each with its complaint. [-]
_MOST_FEATURES = 150_000
_OWN = ("mark", "pad", "id", "note")


def read_marks(
    data: bytes, file: str, outlines: Mapping[str, Polygon | None], system: units.UnitSystem, complaints: Complaints
) -> dict[str, tuple[Mark, ...]]:
    """Return the good marks of each pad, and complain of every other.

    Parameters
    ----------
    data : bytes
        The file.
    file : str
        Its name.
    outlines : mapping of str to Polygon or None
        The pads by id; None for one whose outline cannot be used. [m]
    system : {"us", "metric"}
        The units of the job, which the file's own member overrules.
    complaints : Complaints
        Takes in what is wrong.

    Returns
    -------
    dict of str to tuple of Mark
        By pad, in the file's order. [m]
    """
    features, system = _features(data, file, system, complaints)
    reader = _Reader(file, outlines, system, complaints)
    if len(features) > _MOST_FEATURES:
        complaints.error(file, f"feature {_MOST_FEATURES + 1}", "too-many-features", found=len(features))
    for number, feature in enumerate(features[:_MOST_FEATURES], 1):
        reader.take(feature, f"feature {number}")
    return {pad: tuple(marks) for pad, marks in reader.marks.items()}


def _features(
    data: bytes, file: str, system: units.UnitSystem, complaints: Complaints
) -> tuple[list[Any], units.UnitSystem]:
    """Return the features of the file and its units, whatever wrapper they stand in."""
    text = decoded(data)
    content: Any = json_text.read(text) if text is not None else None
    if text is None or not text.strip():
        complaints.error(file, "", "not-json" if text is None else "empty-file")
        return [], system
    if isinstance(content, json_text.Broken):
        place = f"line {content.line}, column {content.column}"
        complaints.error(file, place, "broken-json", kept=len(content.features))
        return list(content.features), _units_of({"units": content.units}, file, system, complaints)
    if isinstance(content, list) or (isinstance(content, dict) and content.get("type") == "Feature"):
        complaints.error(file, "", "no-collection", wrap=_WRAP)
        return content if isinstance(content, list) else [content], system
    if not isinstance(content, dict) or not isinstance(content.get("features"), list):
        complaints.error(file, "", "no-features", wrap=_WRAP)
        return [], system
    _check_members(content, file, complaints)
    return content["features"], _units_of(content, file, system, complaints)


def _check_members(content: Mapping[str, Any], file: str, complaints: Complaints) -> None:
    if content.get("type") != "FeatureCollection":
        complaints.note(file, "type", "odd-type", given=short(content.get("type")))
    for key in content:
        if key not in _MEMBERS:
            complaints.note(file, key, "unknown-key", do=suggestion(key, ("type", "features", "units")), key=short(key))
    if content.get("crs") is not None:
        complaints.note(file, "crs", "crs-not-used")


def _units_of(
    content: Mapping[str, Any], file: str, system: units.UnitSystem, complaints: Complaints
) -> units.UnitSystem:
    word = Fields(content, file, "", complaints).word("units", ("us", "metric"))
    return "us" if word == "us" else "metric" if word == "metric" else system


@dataclass
class _Reader:
    """Takes features one by one, counting kinds so that marks without an id get a stable one."""

    file: str
    outlines: Mapping[str, Polygon | None]
    system: units.UnitSystem
    complaints: Complaints
    marks: dict[str, list[Mark]] = field(default_factory=dict[str, list[Mark]])
    _ordinals: Counter[tuple[str, str]] = field(default_factory=Counter[tuple[str, str]])
    _ids: set[str] = field(default_factory=set[str])
    _placers: dict[str, Placer] = field(default_factory=dict[str, Placer])

    def take(self, feature: Any, place: str) -> None:
        """Read one feature, or complain of what keeps it from being a mark."""
        properties = feature.get("properties") if isinstance(feature, dict) else None
        if not isinstance(feature, dict) or not isinstance(properties, dict):
            self.complaints.error(self.file, place, "not-a-feature")
            return
        self._tell_twice(feature, properties, place)
        kind = self._kind(properties, place)
        pad = self._pad(properties, place)
        if kind is None or pad is None:
            return
        self._ordinals[pad, kind] += 1
        id = self._id(feature, properties, pad, kind, place)
        geometries = self._geometries(feature, kind, place)
        fields = Fields(properties, self.file, f"{place}, {kind}", self.complaints, self.system)
        known = properties_of(fields, mark_kinds()[kind], _OWN)
        parts = [part for geometry in geometries for part in self._placed(geometry, kind, pad, place)]
        for number, part in enumerate(parts, 1):
            part_id = id if number == 1 else f"{id}.{number}"
            self.marks.setdefault(pad, []).append(Mark(part_id, kind, part, known, place))

    def _tell_twice(self, feature: Mapping[str, Any], properties: Mapping[str, Any], place: str) -> None:
        for table in (feature, properties):
            for key in table.twice if isinstance(table, json_text.Table) else ():
                self.complaints.error(self.file, f"{place}, {short(key)}", "key-twice", key=short(key))

    def _kind(self, properties: Mapping[str, Any], place: str) -> str | None:
        given, kinds = properties.get("mark"), mark_kinds()
        plain = given.strip().lower().replace(" ", "-").replace("_", "-") if isinstance(given, str) else ""
        if plain in kinds:
            return plain
        if given is None or given == "":
            self.complaints.error(self.file, place, "no-mark", known=", ".join(kinds))
        else:
            self.complaints.error(
                self.file, place, "unknown-mark", do=suggestion(str(given), kinds), given=short(given)
            )
        return None

    def _pad(self, properties: Mapping[str, Any], place: str) -> str | None:
        given = properties.get("pad")
        if given is None or given == "":
            if len(self.outlines) == 1:
                self.complaints.note(self.file, place, "only-pad", pad=next(iter(self.outlines)))
                return next(iter(self.outlines))
            self.complaints.error(self.file, place, "no-pad", known=", ".join(self.outlines))
            return None
        pad = str(given)
        if pad not in self.outlines:
            self.complaints.error(self.file, place, "unknown-pad", do=suggestion(pad, self.outlines), pad=short(pad))
            return None
        if self.outlines[pad] is None:
            self.complaints.error(self.file, place, "pad-not-usable", pad=pad)
            return None
        return pad

    def _id(self, feature: Mapping[str, Any], properties: Mapping[str, Any], pad: str, kind: str, place: str) -> str:
        """Return the feature's own id, else its kind and ordinal on its pad."""
        own = feature.get("id", properties.get("id"))
        id = str(own) if isinstance(own, str | int) and str(own).strip() else f"{kind}-{self._ordinals[pad, kind]}"
        key, number = f"{pad}/{id}", 2
        if key in self._ids:
            while f"{key}#{number}" in self._ids:
                number += 1
            self.complaints.note(self.file, place, "id-twice", id=short(id), new=f"{short(id)}#{number}")
            id, key = f"{id}#{number}", f"{key}#{number}"
        self._ids.add(key)
        return id

    def _geometries(self, feature: Mapping[str, Any], kind: str, place: str) -> list[BaseGeometry]:
        scale = units.BARE_LENGTH[self.system]
        found = drawn(feature.get("geometry"), scale, kind)
        if isinstance(found, NotDrawn):
            self.complaints.error(self.file, place, found.code, None, **found.values)
            return []
        allowed = mark_kinds()[kind].geometry
        if any(shape_of(geometry) not in allowed for geometry in found):
            given, needs = found[0].geom_type, " / ".join(name for name, shape in SHAPES.items() if shape in allowed)
            self.complaints.error(self.file, place, "wrong-geometry", mark=kind, given=given, needs=needs)
            return []
        return found

    def _placer(self, pad: str) -> Placer:
        outline = self.outlines[pad]
        if pad not in self._placers and outline is not None:
            self._placers[pad] = Placer(outline)
        return self._placers[pad]

    def _placed(self, geometry: BaseGeometry, kind: str, pad: str, place: str) -> tuple[BaseGeometry, ...]:
        lies, placer = mark_kinds()[kind].lies, self._placer(pad)
        found = placer.placed(geometry, lies)
        match found.how:
            case "off" if lies == "along":
                self.complaints.error(self.file, place, "mark-off-outline", mark=kind, pad=pad)
            case "off":
                self.complaints.error(self.file, place, "mark-off-pad", mark=kind, pad=pad, share=found.share)
            case "clipped":
                self.complaints.note(self.file, place, "mark-clipped", mark=kind, pad=pad, share=found.share)
            case "far":
                away = geometry.distance(placer.outline)
                self.complaints.note(self.file, place, "mark-far", mark=kind, pad=pad, away=away)
            case "whole":
                pass
        return found.parts

"""What was found on a site, validated: the records that cross the door of this room.

Everything is base SI and in the pad's own frame (metres, nothing shifted or turned). ``None``
stands for *unknown*; an unknown is never a false.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from courtwright.measured import Span
from courtwright.says import Says

SCHEMA_VERSION = 1

#: What a fact may be known as: a number in a span, a claim, a word, or ``None`` (unknown).
FactValue = Span | bool | str | None


@dataclass(frozen=True, slots=True)
class Complaint:
    """One wrong place in what was given, and what to do about it.

    Parameters
    ----------
    file : str
        Name as the person would find it, inside the site.
    at : str
        The place: line, feature, key. Empty when the whole file is meant.
    code : str
        Stable, kebab-case.
    weight : {"error", "note"}
        An error loses something; a note tells of a choice made.
    says, do : Says
        What is wrong, and what to do.
    """

    file: str
    at: str
    code: str
    weight: Literal["error", "note"]
    says: Says
    do: Says


@dataclass(frozen=True, slots=True)
class Court:
    """One set of playing lines on a pad.

    Parameters
    ----------
    id, sport : str
        The sport is the id of a file in ``trade/courts``.
    centre : tuple of float, shape (2,)
        Centre of the lines in the pad frame. [m]
    turned : float
        Turn of the court's long axis from the pad's +y axis, clockwise. [rad]
    """

    id: str
    sport: str
    centre: tuple[float, float]
    turned: float = 0.0


@dataclass(frozen=True, slots=True)
class Shots:
    """Height readings of one pad.

    Parameters
    ----------
    xyz : ndarray, shape (n, 3)
        Place and height. [m]
    names : tuple of str
        Point names, n of them; empty where the file has none.
    source : str
        The file they came from.
    around : ndarray, shape (m, 3)
        Place and height of what was shot beside the pad; it tells of run-on, not of the pad. [m]
    """

    xyz: NDArray[np.float64]
    names: tuple[str, ...] = ()
    source: str = ""
    around: NDArray[np.float64] = field(default_factory=lambda: np.empty((0, 3)))


@dataclass(frozen=True, slots=True)
class Mark:
    """Anything found and located on the plan.

    Parameters
    ----------
    id : str
        Stable for the same record: the feature's own id, else kind and ordinal on its pad.
    kind : str
        One of the mark kinds of ``trade/defects``.
    geometry : BaseGeometry
        In the pad frame. [m]
    properties : mapping
        By kind; lengths in metres, angles in degrees as ``lean_deg``, words and booleans as given.
    place : str
        Where it stands in its file, e.g. ``"feature 14"``.
    """

    id: str
    kind: str
    geometry: BaseGeometry
    properties: Mapping[str, object] = field(default_factory=dict[str, object])
    place: str = ""

    def number(self, name: str) -> float | None:
        """Return a numeric property in SI, or None when it is unknown."""
        value = self.properties.get(name)
        return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None

    def word(self, name: str) -> str | None:
        """Return a word property, or None when it is unknown."""
        value = self.properties.get(name)
        return value if isinstance(value, str) else None


@dataclass(frozen=True, slots=True)
class Tally:
    """What was counted and not drawn, on one court or the whole pad.

    Exactly one of length, count and area is known. Lengths are in metres, areas in m².
    """

    mark: str
    court: str | None = None
    length: float | None = None
    count: int | None = None
    area: float | None = None
    properties: Mapping[str, object] = field(default_factory=dict[str, object])
    place: str = ""


@dataclass(frozen=True, slots=True)
class Answer:
    """What was asked and answered: a fact by name and its value (None: "don't know")."""

    fact: str
    value: FactValue


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo as listed: nothing of it is changed.

    Parameters
    ----------
    name : str
        Path inside the site folder.
    kind : str
        ``jpeg``, ``png``, ``heic``, by content.
    width, height : int
        Upright size, after the EXIF orientation is applied. [px]
    orientation : int
        EXIF orientation, 1 to 8; 1 where the photo has none.
    taken_at : datetime or None
        EXIF time as written by the camera, without a zone unless it wrote one.
    has_location : bool
        Whether the photo carries a place, which must not leave the office.
    """

    name: str
    kind: str
    width: int
    height: int
    orientation: int = 1
    taken_at: dt.datetime | None = None
    has_location: bool = False


@dataclass(frozen=True, slots=True)
class Place:
    """Where on earth a pad lies, as given; numbers are in the unit of the coordinate system.

    Parameters
    ----------
    crs : str or None
        Name or code of the coordinate system.
    origin : tuple of float or None, shape (2,)
        Easting and northing of the pad frame's origin. [unit of the crs]
    bearing : float or None
        Bearing of the pad's y axis. [rad]
    common : tuple of tuple of float, shape (n, 4)
        Points known in both: x, y in the pad's units as written, easting, northing. [as written]
    """

    crs: str | None = None
    origin: tuple[float, float] | None = None
    bearing: float | None = None
    common: tuple[tuple[float, float, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class Pad:
    """One paved slab and all that is known of it. Lengths in metres, angles in radians."""

    id: str
    outline: Polygon
    built: int | None = None
    surface: str | None = None
    coating: str | None = None
    last_resurfaced: int | None = None
    asphalt_thickness: float | None = None
    base_thickness: float | None = None
    north: float | None = None
    courts: tuple[Court, ...] = ()
    shots: Shots | None = None
    marks: tuple[Mark, ...] = ()
    tallies: tuple[Tally, ...] = ()
    answers: tuple[Answer, ...] = ()
    place: Place | None = None

    def of_kind(self, *kinds: str) -> tuple[Mark, ...]:
        """Return the marks of these kinds, in the file's order."""
        return tuple(mark for mark in self.marks if mark.kind in kinds)


@dataclass(frozen=True, slots=True)
class Job:
    """Whose request it is."""

    name: str | None = None
    customer: str | None = None
    prevailing_wage: bool | None = None
    units: Literal["us", "metric"] = "us"


@dataclass(frozen=True, slots=True)
class SiteRecord:
    """A validated site: what is good of it, and every complaint about the rest."""

    job: Job
    pads: tuple[Pad, ...]
    address: str | None = None
    lat: float | None = None
    lon: float | None = None
    walked_on: dt.date | None = None
    walked_by: str | None = None
    photos: tuple[Photo, ...] = ()
    complaints: tuple[Complaint, ...] = ()
    schema_version: int = SCHEMA_VERSION

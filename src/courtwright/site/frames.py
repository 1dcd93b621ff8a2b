"""Brings surveyed coordinates into the frame of a pad."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from courtwright.site.complaints import Complaints
from courtwright.site.record import Place

Array = NDArray[np.float64]

#: Common points whose distances differ by more than this share are measured in different units. [-]
_SCALE = 0.01
#: Common points that miss each other by more than this are told. [m]
_AGREE = 0.05
#: Two common points nearer together than this tell no direction. [m]
_APART = 1.0


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a pad's frame lies in a survey: its origin, and the bearing of its y axis.

    Parameters
    ----------
    easting, northing : float
        Of the pad frame's origin. [m]
    bearing : float
        Of its y axis, clockwise from north. [rad]
    """

    easting: float
    northing: float
    bearing: float

    def to_pad(self, xyz: Array) -> Array:
        """Return surveyed points, shape (n, 2) or (n, 3) [m], in the pad's frame.

        Examples
        --------
        A pad whose y axis points east:

        >>> Frame(100.0, 200.0, math.pi / 2).to_pad(np.array([[103.0, 200.0, 7.0]])).round(6).tolist()
        [[0.0, 3.0, 7.0]]
        """
        off = xyz[:, :2] - (self.easting, self.northing)
        sin, cos = math.sin(self.bearing), math.cos(self.bearing)
        across, along = off[:, 0] * cos - off[:, 1] * sin, off[:, 0] * sin + off[:, 1] * cos
        return np.column_stack([across, along, xyz[:, 2:]])


def frame_of(place: Place, unit: float, pad_unit: float, at: str, file: str, complaints: Complaints) -> Frame | None:
    """Return the frame that a pad's place tells, or None after saying what it lacks.

    Parameters
    ----------
    place : Place
        Common points, or an origin with a bearing; common points win.
    unit : float
        Metres in a unit of the survey's coordinates. [m]
    pad_unit : float
        Metres in a unit of the job, in which the pad's own coordinates are written. [m]
    at, file : str
        Where the place is written.
    complaints : Complaints
        Takes in what is wrong.

    Notes
    -----
    Common points are brought together by the rotation and shift of least squares; nothing is stretched.

    References
    ----------
    Kabsch, "A solution for the best rotation to relate two sets of vectors", Acta Crystallographica A 32 (1976).
    """
    if len(place.common) >= 2:
        return _through(place, unit, pad_unit, at, file, complaints)
    if place.origin is not None and place.bearing is not None:
        return Frame(place.origin[0] * unit, place.origin[1] * unit, place.bearing)
    complaints.error(file, at, "place-lacks")
    return None


def _through(place: Place, unit: float, pad_unit: float, at: str, file: str, complaints: Complaints) -> Frame | None:
    common = np.array(place.common, dtype=np.float64)
    own, survey = common[:, :2] * pad_unit, common[:, 2:] * unit
    own_middle, survey_middle = own.mean(axis=0), survey.mean(axis=0)
    a, b = own - own_middle, survey - survey_middle
    wide, surveyed = math.sqrt(float((a**2).sum())), math.sqrt(float((b**2).sum()))
    if wide < _APART:
        complaints.error(file, at, "place-too-near")
        return None
    if abs(surveyed / wide - 1) > _SCALE:
        complaints.error(file, at, "place-scale", ratio=surveyed / wide)
        return None
    # The bearing that turns the pad's offsets into the survey's: x' = x cos β + y sin β, y' = -x sin β + y cos β.
    turn = math.atan2(float((a[:, 1] * b[:, 0] - a[:, 0] * b[:, 1]).sum()), float((a * b).sum()))
    sin, cos = math.sin(turn), math.cos(turn)
    x, y = own_middle
    frame = Frame(float(survey_middle[0] - (x * cos + y * sin)), float(survey_middle[1] - (-x * sin + y * cos)), turn)
    off = float(np.hypot(*(frame.to_pad(survey) - own).T).max())
    if off > _AGREE:
        complaints.note(file, at, "place-off", off=off)
    return frame

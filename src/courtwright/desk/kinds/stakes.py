"""Stakes out the new surface of a pad.

In: what `asked.payload` makes of a `StakesAsked` and a site. Out: a zip of the files that ``courtwright regrade --out``
writes of the same pad and choices.
"""

from __future__ import annotations

import dataclasses
import datetime as dt
import io
import zipfile

from courtwright.desk.kinds import Told
from courtwright.desk.kinds.asked import StakesAsked, asked
from courtwright.desk.kinds.handed import site_files
from courtwright.errors import InputError
from courtwright.ground.regrade.fixed import Point
from courtwright.ground.regrade.read import Asked
from courtwright.job.answers.plain import Reader
from courtwright.job.answers.regrade import regrade_document
from courtwright.job.stakes import stake_files
from courtwright.says import say
from courtwright.site.folder import read_files
from courtwright.trade.load import tolerances

#: The same files on any day.
_NO_TIME, _NO_DAY = (1980, 1, 1, 0, 0, 0), dt.date(1980, 1, 1)


def run(payload: bytes, told: Told) -> bytes:
    """Return the stake-out of a pad's new surface.

    Raises
    ------
    CallError
        If the question is none of ours, or a point lies off the pad.
    InputError
        If nothing is left to compute, the least slope is steeper than the most, or the pad has no such surface.
    """
    told(0, 1)
    ask, site = asked(StakesAsked, payload)
    limits = tolerances()
    low = limits.slope_min if ask.slope_min is None else ask.slope_min
    if low > (limits.slope_max if ask.slope_max is None else ask.slope_max):
        raise InputError(say("regrade.steeper-least"), where="slope_min_pct")
    record = read_files(site_files(site, ask.name), ask.name)
    record = dataclasses.replace(record, pads=tuple(pad for pad in record.pads if pad.id == ask.pad))
    reader = Reader(ask.language, ask.units or record.job.units)
    points = tuple(Point(*one) for one in ask.points)
    choices = Asked(ask.slope_min, ask.slope_max, ask.least, ask.stone, ask.grading, ask.layout, points)
    _, pads = regrade_document(record, reader, choices)
    files = stake_files(pads, reader.language, reader.units, record.walked_on or _NO_DAY)
    if not files:
        raise InputError(say("desk.nothing-to-stake"), where=ask.pad, fix=say("desk.nothing-to-stake-do"))
    told(1, 1)
    return _zipped(files)


def _zipped(files: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            archive.writestr(zipfile.ZipInfo(name, _NO_TIME), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()

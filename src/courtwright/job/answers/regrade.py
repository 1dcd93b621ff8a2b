"""The new surfaces of a site as a plain record."""

from __future__ import annotations

from shapely import Point

from courtwright.errors import CallError
from courtwright.ground.regrade.fixed import is_near
from courtwright.ground.regrade.read import Asked, PadRegrade, Part, Stake, Surface, pad_regrade
from courtwright.job.answers.documents import Document, with_complaints
from courtwright.job.answers.plain import Reader, degrees, mm, number, pct, point
from courtwright.says import say
from courtwright.site.record import SiteRecord


def regrade_document(record: SiteRecord, reader: Reader, asked: Asked) -> tuple[Document, tuple[PadRegrade, ...]]:
    """Return the whole answer of ``regrade``; and the new surface of each pad.

    Raises
    ------
    CallError
        If a point to be met lies off every pad.
    """
    for place in asked.points:
        if not any(is_near(pad, Point(place.x, place.y)) for pad in record.pads):
            raise CallError(say("regrade.off-the-pad", x=place.x, y=place.y), where="--fixed")
    pads = tuple(pad_regrade(pad, asked) for pad in record.pads)
    answer: dict[str, object] = {"pads": [_pad(pad, reader) for pad in pads]}
    return with_complaints(answer, record, reader), pads


def _pad(pad: PadRegrade, reader: Reader) -> dict[str, object]:
    new = pad.surface
    single = new.parts[0] if new and len(new.parts) == 1 else None
    return {
        "id": pad.id,
        "plane": _plane(single) if single else None,
        "slope_pct": pct(single.slope) if single else None,
        "bearing_deg": degrees(single.bearing) if single else None,
        **_amounts(new),
        "planes": [_part(part) for part in new.parts] if new else [],
        "edges": [_stake(stake) for stake in pad.corners],
        "notes": [reader.says(note) for note in pad.notes],
        "from_memory": list(pad.from_memory),
    }


def _amounts(new: Surface | None) -> dict[str, object]:
    return {
        "volume_m3": number(new.volume if new else None, 4),
        "mass_t": number(new.mass if new else None, 4),
        "thickness_min_mm": mm(new.thickness_min if new else None),
        "thickness_max_mm": mm(new.thickness_max if new else None),
        "cut_m3": number(new.cut if new else None, 4),
        "milled_max_mm": mm(new.milled if new else None),
    }


def _plane(part: Part) -> list[float | None]:
    """Return level [m] and rises [m/m]: height = a + b x + c y, to a hundredth of a millimetre over a kilometre."""
    x, y = part.plane.gradient
    return [number(part.plane.level, 6), number(x, 9), number(y, 9)]


def _part(part: Part) -> dict[str, object]:
    return {
        "courts": list(part.courts),
        "plane": _plane(part),
        "slope_pct": pct(part.slope),
        "bearing_deg": degrees(part.bearing),
    }


def _stake(stake: Stake) -> dict[str, object]:
    return {
        "at": point((stake.x, stake.y)),
        "existing_m": number(stake.existing),
        "design_m": number(stake.design),
        "fill_mm": mm(stake.fill),
    }

"""How a site drains, as a plain record."""

from __future__ import annotations

import math

from courtwright.ground.drainage.read import Asked, PadDrainage, pad_drainage
from courtwright.ground.drainage.sizes import Carried, Channels
from courtwright.job.answers.documents import Document, with_complaints
from courtwright.job.answers.plain import Reader, mm, number, pct
from courtwright.site.record import SiteRecord

_LITRES = 1000.0


def drain_document(record: SiteRecord, reader: Reader, asked: Asked) -> tuple[Document, tuple[PadDrainage, ...]]:
    """Return the whole answer of ``drain``; and how each pad drains."""
    pads = tuple(pad_drainage(pad, asked) for pad in record.pads)
    answer: dict[str, object] = {"pads": [_pad(pad, reader) for pad in pads]}
    return with_complaints(answer, record, reader), pads


def _pad(pad: PadDrainage, reader: Reader) -> dict[str, object]:
    side = pad.lower
    return {
        "id": pad.id,
        "run_on_m2": number(pad.run_on.area, 2),
        "peak_l_s": _flow(pad.peak),
        "lower_side": {
            "length_m": number(side.length, 3),
            "depth_mm": mm(side.depth),
            "volume_m3": number(side.volume, 3),
        },
        "channel": None if pad.channels is None else _channel(pad.channels),
        "concentration_min": None if pad.concentration is None else number(pad.concentration / 60, 2),
        "notes": [reader.says(note) for note in pad.notes],
        "from_memory": list(pad.from_memory),
    }


def _flow(flow: float | None) -> float | None:
    return None if flow is None or math.isinf(flow) else number(flow * _LITRES, 3)


def _channel(channels: Channels) -> dict[str, object]:
    return {
        "slope_pct": pct(channels.slope),
        "swale": _carried(channels.swale),
        "trench_drain": _carried(channels.trench),
        "pipe": _carried(channels.pipe),
    }


def _carried(carried: Carried | None) -> dict[str, object] | None:
    if carried is None:
        return None
    return {
        "width_mm": mm(carried.width),
        "depth_mm": mm(carried.depth),
        "velocity_m_s": number(carried.velocity, 3),
        "roughness": carried.roughness,
        "most_l_s": _flow(carried.most),
    }

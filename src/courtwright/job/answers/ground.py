"""A ground reading as a plain record."""

from __future__ import annotations

import math

from courtwright.ground import read_ground
from courtwright.ground.drying import Weather, hours_to_dry
from courtwright.ground.read import Told, untold
from courtwright.ground.reading import (
    CourtPlane,
    CrackReading,
    Flatness,
    GroundReading,
    HeightGrid,
    LowSpot,
    OldRepair,
    PadReading,
    Piece,
    PlaceToShoot,
    ShootNext,
)
from courtwright.job.answers.documents import Document, with_complaints
from courtwright.job.answers.plain import Reader, degrees, mm, number, pct, point, ring
from courtwright.says import Says, say
from courtwright.site.record import SiteRecord
from courtwright.trade.load import tolerances

_LITRES = 1000.0
#: So many places to shoot next are told unless somebody asks for more or fewer.
SHOTS_MORE = 3
#: A place to shoot is told to this, which a tape finds. [m]
_TAPED = 0.1


def ground_document(
    record: SiteRecord,
    reader: Reader,
    seed: int = 1,
    told: Told = untold,
    shots_more: int = SHOTS_MORE,
    weather: Weather | None = None,
) -> tuple[Document, GroundReading]:
    """Return the whole answer of ``ground``; and the reading.

    ``seed`` is that of the simulated surfaces [-]; of each pad at most ``shots_more`` places to shoot are told [-].
    With a ``weather`` it is told how long each low spot takes to dry in it.
    """
    reading = read_ground(record, seed, told, shots_more)
    return with_complaints(ground_answer(reading, reader, weather), record, reader), reading


def ground_answer(reading: GroundReading, reader: Reader, weather: Weather | None = None) -> dict[str, object]:
    """Return the answer of ``ground`` without its complaints."""
    return {"pads": [_with_words(pad, reader, weather) for pad in reading.pads], "water_test": _water_test()}


def _water_test() -> dict[str, object]:
    """Return from what depth on, and how long after flooding, water counts as a low spot."""
    limits = tolerances()
    return {
        "depth_mm": mm(limits.water_test),
        "depth_source": limits.sources["water_test"],
        "wait_h": number(limits.water_test_wait / 3600, 2),
        "wait_source": limits.sources["water_test_wait"],
    }


def _with_words(pad: PadReading, reader: Reader, weather: Weather | None) -> dict[str, object]:
    notes = [reader.says(note) for note in pad.notes]
    drying = {"low_spots": [_drying(spot, weather, reader) for spot in pad.low_spots]} if weather else {}
    return {**_pad(pad), **drying, "shoot_next": _shoot_next(pad.shoot_next, reader), "notes": notes}


def _drying(spot: LowSpot, weather: Weather, reader: Reader) -> dict[str, object]:
    hours = hours_to_dry(spot.depth_max, weather)
    told = None if hours is None else [number(end, 2) for end in hours]
    return {**low_spot(spot), "dry_h": told, "drying_says": reader.says(drying_says(spot, weather))}


def drying_says(spot: LowSpot, weather: Weather) -> Says:
    """Return how long a low spot takes to dry in a weather, or why it does not."""
    hours = hours_to_dry(spot.depth_max, weather)
    if hours is not None:
        return say("ground.dries", low=hours[0], high=hours[1])
    return say("ground.freezes" if weather.freezes else "ground.never-dries")


def _shoot_next(found: ShootNext | None, reader: Reader) -> dict[str, object] | None:
    if found is None:
        return None
    words = [reader.says(sentence) for sentence in next_says(found)]
    places = [
        {
            "rank": rank,
            "at": list(_taped(place.at)),
            "sd_mm": mm(place.sd),
            "settles": [
                {"low_spot": s.low_spot, "at": point(s.at), "likelihood": number(s.likelihood, 3)}
                for s in place.settles
            ],
            "doubt_before_bits": number(place.doubt_before, 3),
            "doubt_after_bits": number(place.doubt_after, 3),
            "says": says,
        }
        for rank, (place, says) in enumerate(zip(found.places, words, strict=False), 1)
    ]
    return {"doubt_bits": number(found.doubt, 3), "places": places, "says": words[-1] if not places else None}


def next_says(found: ShootNext) -> list[Says]:
    """Return a sentence for each place to shoot next; one that says why where there is none."""
    if found.places:
        return [_place_says(place) for place in found.places]
    return [say("ground.shoot-settled" if found.doubt == 0 and not found.may_hide else "ground.shoot-no-more")]


def _place_says(place: PlaceToShoot) -> Says:
    x, y = _taped(place.at)
    if not place.settles:
        return say("ground.shoot-hidden", x=x, y=y, sd=place.sd)
    first = place.settles[0]
    if first.low_spot is not None:
        return say("ground.shoot-spot", x=x, y=y, id=first.low_spot, likelihood=first.likelihood)
    to_x, to_y = _taped(first.at)
    return say("ground.shoot-unseen", x=x, y=y, to_x=to_x, to_y=to_y, likelihood=first.likelihood)


def _taped(at: tuple[float, float]) -> tuple[float, float]:
    x, y = (round(round(value / _TAPED) * _TAPED, 3) + 0.0 for value in at)
    return x, y


def _pad(pad: PadReading) -> dict[str, object]:
    return {
        "id": pad.id,
        "area_m2": number(pad.area, 3),
        "heights": _heights(pad.heights),
        "courts": [_court(court) for court in pad.courts],
        "flatness": _flatness(pad.flatness),
        "low_spots": [low_spot(spot) for spot in pad.low_spots],
        "cracks": _cracks(pad.cracks),
        "pieces": [_piece(piece) for piece in pad.pieces],
        "heaves": [
            {"id": h.id, "height_mm": mm(h.height), "at": point(h.at), "tree_m": number(h.tree_distance, 2)}
            for h in pad.heaves
        ],
        "old_repairs": [_repair(repair) for repair in pad.old_repairs],
        "low_edge": pad.low_edge,
    }


def _heights(grid: HeightGrid | None) -> dict[str, object] | None:
    if grid is None:
        return None
    known = sorted(float(sd) for sd in grid.sd.ravel() if not math.isnan(sd))
    rows, cols = grid.height.shape
    median = known[len(known) // 2] if known else None
    return {"cell_m": number(grid.cell), "rows": rows, "cols": cols, "shots": grid.shots, "sd_median_mm": mm(median)}


def _court(court: CourtPlane) -> dict[str, object]:
    return {
        "id": court.id,
        "sport": court.sport,
        "slope_pct": pct(court.slope),
        "bearing_deg": degrees(court.bearing),
        "off_plane_max_mm": mm(court.off_plane_max),
        "off_plane_rms_mm": mm(court.off_plane_rms),
    }


def _flatness(flat: Flatness | None) -> dict[str, object] | None:
    if flat is None:
        return None
    return {
        "straightedge_m": number(flat.straightedge),
        "gap_max_mm": mm(flat.gap_max),
        "at": point(flat.at),
        "bearing_deg": number(math.degrees(flat.bearing) % 180.0, 1),
        "share_over_tolerance": number(flat.share_over_tolerance),
    }


def low_spot(spot: LowSpot) -> dict[str, object]:
    """Return one low spot as the contract words it."""
    return {
        "id": spot.id,
        "area_m2": number(spot.area, 3),
        "depth_max_mm": mm(spot.depth_max),
        "volume_l": number(spot.volume * _LITRES, 2),
        "spill": point(spot.spill),
        "likelihood": number(spot.likelihood, 3),
        "outline": ring(spot.outline),
        "drawn": spot.drawn,
    }


def _cracks(cracks: CrackReading) -> dict[str, object]:
    return {
        "length_m": number(cracks.length, 3),
        "by_width": [
            {"from_mm": mm(c.low), "to_mm": mm(c.high), "length_m": number(c.length, 3)} for c in cracks.by_width
        ],
        "unknown_width_m": number(cracks.unknown_width, 3),
        "tallied_m": number(cracks.tallied, 3),
        "junctions": cracks.junctions,
        "ends": cracks.ends,
        "parallels": cracks.parallels,
    }


def _piece(piece: Piece) -> dict[str, object]:
    return {
        "id": piece.id,
        "area_m2": number(piece.area, 3),
        "free": piece.free,
        "cracked_share": number(piece.cracked_share, 3),
        "outline": ring(piece.outline),
    }


def _repair(repair: OldRepair) -> dict[str, object]:
    return {
        "id": repair.id,
        "repair": repair.repair,
        "length_m": number(repair.length, 3),
        "failed_share": number(repair.failed_share, 3),
        "failed_share_range": [number(share, 3) for share in repair.failed_share_range],
    }

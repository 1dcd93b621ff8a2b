"""The pictures of a site's ground, each as SVG and as PNG."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from courtwright.ground.reading import GroundReading
from courtwright.ground.regrade.read import PadRegrade
from courtwright.offer.ground import contours_svg, cut_fill_svg, straightedge_svg, worst_edge
from courtwright.offer.png import png
from courtwright.offer.writing import plan_names
from courtwright.site.record import SiteRecord
from courtwright.trade.words import Language, UnitSystem


def ground_pictures(
    record: SiteRecord, reading: GroundReading, language: Language, units: UnitSystem
) -> dict[str, bytes]:
    """Return the contours and the worst straightedge of every pad whose heights are known, by file name.

    Parameters
    ----------
    record : SiteRecord
        What was found.
    reading : GroundReading
        What it means.
    language, units
        Of the reader.
    """
    drawn: dict[str, str] = {}
    names = [pad.id for pad in record.pads]
    contours, edges = _names("contours", names), _names("straightedge", names)
    for pad, of_pad in zip(record.pads, reading.pads, strict=True):
        lines, edge = contours_svg(pad, of_pad, language, units), worst_edge(of_pad)
        if lines is not None:
            drawn[contours[pad.id]] = lines
        if edge is not None:
            drawn[edges[pad.id]] = straightedge_svg(pad, edge, language, units)
    return in_both_forms(drawn)


def cut_fill_pictures(
    record: SiteRecord, new: Sequence[PadRegrade], language: Language, units: UnitSystem
) -> dict[str, bytes]:
    """Return cut and fill of every pad that has a new surface, by file name.

    Parameters
    ----------
    record : SiteRecord
        What was found.
    new : sequence of PadRegrade
        The new surfaces, in the record's order.
    language, units
        Of the reader.
    """
    drawn: dict[str, str] = {}
    names = _names("cut-fill", [pad.id for pad in record.pads])
    for pad, surface in zip(record.pads, new, strict=True):
        svg = cut_fill_svg(pad, surface, surface.grid, language, units) if surface.grid is not None else None
        if svg is not None:
            drawn[names[pad.id]] = svg
    return in_both_forms(drawn)


def in_both_forms(drawn: Mapping[str, str]) -> dict[str, bytes]:
    """Return drawings by name without ending as files: ``NAME.svg`` and ``NAME.png``."""
    files: dict[str, bytes] = {}
    for name, svg in drawn.items():
        files[f"{name}.svg"] = svg.encode()
        files[f"{name}.png"] = png(svg)
    return files


def _names(what: str, pads: list[str]) -> dict[str, str]:
    """Return the name of each pad's picture, without its ending."""
    plans = plan_names(pads)
    return {
        pad: f"{what}{plan.removeprefix('plan').removesuffix('.svg')}" for pad, plan in zip(pads, plans, strict=True)
    }

"""The plan of every pad, at its true scale."""

from __future__ import annotations

import re

from courtwright.offer.paper import Paper, Section
from courtwright.offer.plan import plan_description


def plans(paper: Paper) -> Section | None:
    """Return the plans, one a page."""
    if paper.is_small or not paper.pads:
        return None
    language, units = paper.request.language, paper.request.units
    figures: list[dict[str, object]] = []
    files: dict[str, bytes] = {}
    for number, (pad, svg) in enumerate(zip(paper.pads, paper.plans, strict=True)):
        file = f"plan-{number}.svg"
        files[file] = svg.encode()
        figures.append(
            {
                "heading": paper.say("pad-heading", pad=pad.pad.id),
                "file": file,
                "width_mm": width_of(svg),
                "alt": plan_description(pad.pad, pad.reading, language, units),
            }
        )
    return Section("plans", {"heading": paper.say("plan-heading"), "figures": figures}, files)


def width_of(svg: str) -> float:
    """Return the true width of a drawing. [mm]"""
    found = re.search(r'width="([\d.]+)mm"', svg)
    return float(found[1]) if found else 0.0

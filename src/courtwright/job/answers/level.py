"""A reduced field book as a plain record."""

from __future__ import annotations

from courtwright.job.answers.plain import mm, number
from courtwright.site.closing import Closing
from courtwright.site.levelling import Run


def level_answer(run: Run, closing: Closing) -> dict[str, object]:
    """Return the answer of ``level`` without its complaints."""
    return {
        "points": [
            {"station": p.station, "elevation_m": number(p.elevation, 5), "adjusted_m": number(p.adjusted, 5)}
            for p in run.levels
        ],
        "misclosure_mm": mm(run.misclosure),
        "allowable_mm": mm(closing.allowable),
        "closes": closing.closes,
        "setups": run.setups,
        "shoot_again": [{"from": leg.start, "to": leg.end} for leg in closing.again],
    }

"""Points located from tapes, as a plain record."""

from __future__ import annotations

from collections.abc import Sequence

from courtwright.job.answers.plain import degrees, mm, number
from courtwright.site.ties import Located


def tie_answer(found: Sequence[Located]) -> dict[str, object]:
    """Return the answer of ``tie`` without its complaints."""
    return {"points": [_point(one) for one in found]}


def _point(one: Located) -> dict[str, object]:
    long, short, bearing = one.ellipse
    return {
        "point": one.point,
        "x_m": number(one.fix.xy[0], 5),
        "y_m": number(one.fix.xy[1], 5),
        "sd_m": number(one.deviation, 5),
        "ellipse": [number(long, 5), number(short, 5), degrees(bearing)],
        "residual_mm": mm(one.residual),
        "tapes": [
            {"from": tie.start, "residual_mm": mm(residual), "used": i not in one.bad}
            for i, (tie, residual) in enumerate(zip(one.ties, one.residuals, strict=True))
        ],
    }

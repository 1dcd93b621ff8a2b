"""A condition index as a plain record, with every step."""

from __future__ import annotations

from courtwright.job.answers.plain import number
from courtwright.verdict.records import ConditionIndex


def index_answer(index: ConditionIndex) -> dict[str, object]:
    """Return the answer of ``index`` without its complaints."""
    return {
        "pci": number(index.value, 2),
        "rating": index.rating,
        "standard": index.standard,
        "deducts": [
            {
                "distress": row.distress,
                "severity": row.severity,
                "density_pct": number(row.density, 4),
                "deduct": number(row.deduct, 2),
            }
            for row in index.deducts
        ],
        "hdv": number(index.hdv, 2),
        "m": number(index.m, 4),
        "tdv": number(index.tdv, 2),
        "q": index.q,
        "cdv": number(index.cdv, 2),
        "steps": [{key: number(value, 2) for key, value in step.items()} for step in index.steps],
        "from_memory": list(index.from_memory),
    }

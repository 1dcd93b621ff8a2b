"""An answer that takes the place of what was derived is told wherever it counts."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely import LineString

from courtwright.job.answers.check import check_document
from courtwright.job.answers.documents import Document
from courtwright.job.answers.plain import Reader
from courtwright.job.answers.price import price_document
from courtwright.job.answers.verdict import verdict_document
from courtwright.measured import Span
from courtwright.quantities.standard import standard_pad
from courtwright.site.record import Answer, Job, Mark, SiteRecord

READER = Reader("en", "us")
ANSWERS = {
    "check": lambda record: check_document(record, READER)[0],
    "verdict": lambda record: verdict_document(record, READER)[0],
    "price": lambda record: price_document(record, READER)[0],
}


def _site(widest: float | None) -> SiteRecord:
    """Return one court with a crack 10 mm wide, and what somebody answered of the widest crack. [m]"""
    crack = Mark("crack-1", "crack", LineString([(2, 2), (9, 2)]), {"width": 0.010})
    answers = () if widest is None else (Answer("crack_width_max", Span.exactly(widest)),)
    pad = replace(standard_pad(), marks=(crack,), answers=answers)
    return SiteRecord(job=Job(name="One court", units="us"), pads=(pad,))


def _overruled(answer: Document) -> list[str]:
    return [one["at"] for one in answer["complaints"] if one["code"] == "answer-overrules"]


@pytest.mark.parametrize("what", ANSWERS)
def test_another_width_than_that_of_the_marks_is_told(what: str):
    assert _overruled(ANSWERS[what](_site(0.025))) == ["pad standard, answers, crack_width_max"]


@pytest.mark.parametrize("what", ANSWERS)
def test_the_same_width_and_no_answer_say_nothing(what: str):
    assert _overruled(ANSWERS[what](_site(0.010))) == []
    assert _overruled(ANSWERS[what](_site(None))) == []

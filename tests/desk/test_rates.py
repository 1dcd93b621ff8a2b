"""A company's own rates at the desk: kept as they were seen, and in the answers and papers that rest on them."""

from __future__ import annotations

import datetime as dt
import json
from typing import get_args

import pytest

from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.asked import AnswerAsked, OfferAsked, What, asked
from courtwright.desk.kinds.offer import ESTIMATE, INPUTS, run
from courtwright.desk.offers import papers
from courtwright.desk.office import Office
from courtwright.desk.people.rates import RateTyped, change_rates, company_rates, rates_history, read_file
from courtwright.desk.work import handing
from courtwright.desk.work.answers import Question, ask, last_answer
from courtwright.errors import InputError, RefusedError, StaleError
from courtwright.store.rows.tasks import Task
from tests.desk.demo_walk import a_walk
from tests.desk.jobs import CREW, ESTIMATOR, HEAD, a_job
from tests.desk.kinds.demo import BARE, untold
from tests.desk.offered import customer, sent
from tests.desk.test_answers import computed, task_of
from tests.desk.test_papers import a_demo_draft

DAY = dt.date(2026, 5, 4)


def typed(value: str, unit: str = "", note: str = "") -> RateTyped:
    """Return an own rate as typed."""
    return RateTyped(value, unit, DAY, note)


def keep(office: Office, seen: int = 0, **own: str) -> int:
    """Keep own sale prices by item, and return the new version."""
    given = {f"lines.{item.replace('_', '-')}": typed(value) for item, value in own.items()}
    return change_rates(office, HEAD, seen, given).version


# --- laws ---------------------------------------------------------------------------------------


def test_rates_are_kept_in_their_own_unit_as_they_were_seen(office: Office) -> None:
    """A comma is read, a metre becomes a foot; the history tells each version."""
    assert company_rates(office, ESTIMATOR).version == 0
    told = change_rates(office, HEAD, 0, {"lines.swale": typed("100", "m", "bid of May"), "profit": typed("13,5")})
    own = {one.usual.id: one.own for one in told.rates if one.own is not None}
    assert {id: (rate.value, rate.unit, rate.date, rate.note) for id, rate in own.items()} == {
        "lines.swale": (30.48, "lf", "2026-05-04", "bid of May"),
        "profit": (13.5, "pct", "2026-05-04", ""),
    }
    assert company_rates(office, ESTIMATOR) == told
    assert change_rates(office, HEAD, 1, {}).version == 2
    assert [change.action for change in rates_history(office, ESTIMATOR)] == ["made", "changed"]


def test_a_kept_price_is_an_old_one_once_the_rates_have_changed(office: Office) -> None:
    """Other answers stay; with the rates as they were the same price is current again."""
    walk = a_walk(office, a_job(office), BARE)
    first = {what: computed(office, walk, Question(what)) for what in get_args(What)}
    version = keep(office, swale="30")
    now = {what: last_answer(office, ESTIMATOR, walk, Question(what)) for what in get_args(What)}
    assert {what for what, told in now.items() if not told.is_current} == {"price"}
    assert {what: told.answer for what, told in now.items()} == {what: told.answer for what, told in first.items()}
    assert isinstance(ask(office, ESTIMATOR, walk, Question("price")), Task)
    keep(office, version)
    assert last_answer(office, ESTIMATOR, walk, Question("price")).is_current


def test_a_worker_is_handed_the_rates_for_a_price_alone(office: Office) -> None:
    """As they are at that moment; without any, what it is handed is what it always was."""
    walk = a_walk(office, a_job(office), BARE)
    before, _ = asked(AnswerAsked, handed(office, task_of(office, ESTIMATOR, walk, Question("price"))))
    keep(office, swale="30")
    price, _ = asked(AnswerAsked, handed(office, task_of(office, ESTIMATOR, walk, Question("price"))))
    verdict, _ = asked(AnswerAsked, handed(office, task_of(office, ESTIMATOR, walk, Question("verdict"))))
    assert (before.house, verdict.house) == (None, None)
    assert price.house == {"lines.swale": {"value": 30.0, "unit": "lf", "date": "2026-05-04", "note": ""}}


def handed(office: Office, task: Task) -> bytes:
    """Return what a worker is handed for a task."""
    return handing.payload_of(office.store.blobs, task)


def test_papers_are_made_with_the_rates_of_that_moment_and_say_so(office: Office) -> None:
    """Its inputs record them for the office; its estimate is the price that they make, and what was made stays."""
    keep(office, resurfacing="14500")
    draft = a_demo_draft(office)
    task = papers.make_papers(office, ESTIMATOR, draft.id, draft.version)
    keep(office, 1)
    made = parcel.unpack(run(handed(office, task), untold))
    inputs = json.loads(made[INPUTS])
    assert inputs["asked"]["house"]["lines.resurfacing"]["value"] == 14_500
    estimate = json.loads(made[ESTIMATE])
    assert "rates.resurfacing" not in estimate["from_memory"]
    with office.writing(ESTIMATOR) as unit:
        papers.papers_made(office, unit, task, parcel.pack(made))
    kept = papers.paper(office, ESTIMATOR, draft.id, ESTIMATE)
    assert kept == made[ESTIMATE]
    usual, _ = asked(OfferAsked, handed(office, papers.make_papers(office, ESTIMATOR, draft.id, draft.version + 1)))
    assert usual.house is None
    # What a customer may have tells nothing of the rates.
    for name, content in made.items():
        if name.startswith("offer/") and name.endswith(".json"):
            assert b"house" not in content
            assert b"14500" not in content


def test_a_file_is_read_beside_what_counts_now_and_nothing_is_kept(office: Office) -> None:
    """The own value is what a row is compared with."""
    keep(office, swale="30")
    (row,) = read_file(office, HEAD, b"id,value\nlines.swale,31\n")
    assert (row.was, row.value) == (30.0, 31.0)
    assert company_rates(office, HEAD).version == 1


# --- refusals -----------------------------------------------------------------------------------


def test_rates_that_changed_since_are_not_written_over(office: Office) -> None:
    """Nor made anew where there are some, nor changed where there are none."""
    with pytest.raises(StaleError):
        keep(office, 1)
    assert keep(office, swale="30") == 1
    for seen in (0, 2):
        with pytest.raises(StaleError):
            keep(office, seen, swale="31")


def test_one_wrong_rate_keeps_none(office: Office) -> None:
    """It is named; the others are not kept without it."""
    with pytest.raises(InputError) as refused:
        change_rates(office, HEAD, 0, {"lines.swale": typed("30"), "lines.stone": typed("40", "sf")})
    assert refused.value.where == "lines.stone"
    assert company_rates(office, HEAD).version == 0


def test_whoever_sees_no_price_sees_no_rate(office: Office) -> None:
    """The crew and a customer by link read none; an estimator changes none."""
    for caller in (CREW, customer(office, sent(office))):
        for act in (company_rates, rates_history):
            with pytest.raises(RefusedError):
                act(office, caller)
    for caller in (CREW, ESTIMATOR):
        with pytest.raises(RefusedError):
            change_rates(office, caller, 0, {})
        with pytest.raises(RefusedError):
            read_file(office, caller, b"id,value\n")

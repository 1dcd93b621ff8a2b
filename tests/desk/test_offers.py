"""Offers from draft to seal: what is sent stays, what is accepted is sealed, and nothing is lost."""

from __future__ import annotations

import contextlib
import datetime as dt
import json
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from courtwright.desk.caller import Caller
from courtwright.desk.jobs import bring_back_job, change_job, job, withdraw_job
from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.accepted import run as accepted_sheet
from courtwright.desk.offers import accepted_papers, links, offers, papers, sealing
from courtwright.desk.offers.offers import BLANK, Given
from courtwright.desk.offers.standing import choices, consent, standing
from courtwright.desk.office import Office
from courtwright.desk.work import handing
from courtwright.desk.work.tasks import list_tasks
from courtwright.errors import ConflictError, CourtwrightError, InputError, MissingError, RefusedError, StaleError
from courtwright.store.rows.acceptances import Acceptance
from courtwright.store.rows.offers import Offer
from courtwright.store.unit import Once
from tests.desk.jobs import CREW, ESTIMATOR, HEAD
from tests.desk.kinds.demo import untold
from tests.desk.offered import ISSUED, WHO, a_draft, a_walk, accepted, chosen, sent, with_papers

SIGNED = dt.date(2026, 5, 6)


def at(office: Office, moment: dt.datetime) -> Office:
    """Return the office with its clock at another moment."""
    return replace(office, now=lambda: moment)


def signed(office: Office, offer: Offer, **values: Any) -> Acceptance:
    """Record a signature on paper, as the demo's customer gives it."""
    given = {"options": chosen(offer), "name": WHO, "signed_on": ISSUED, **values}
    return offers.record_acceptance(office, ESTIMATOR, offer.id, Given(**given))


# --- laws ---------------------------------------------------------------------------------------


def test_offers_are_numbered_by_job(office: Office) -> None:
    """1, 2, 3 for one job, and 1 for the next; the same request twice is one offer."""
    job_id, walk_id = a_walk(office)
    values = {"language": "en", "issued_on": ISSUED}
    made = [offers.draft_offer(office, ESTIMATOR, job_id, walk_id, values) for _ in range(3)]
    assert [(one.number, one.revision, one.state) for one in made] == [(n, 1, "draft") for n in (1, 2, 3)]
    assert a_draft(office).number == 1
    once = Once("key", "0" * 64)
    twice = [offers.draft_offer(office, ESTIMATOR, job_id, walk_id, values, once) for _ in range(2)]
    assert twice[0] == twice[1]
    assert len(offers.list_offers(office, HEAD, job_id).items) == 4


def test_sending_freezes_and_brings_the_job_to_its_offer(office: Office) -> None:
    """From then on no draft; the stage moves on, and never back."""
    offer = sent(office)
    assert offer.state == "sent"
    assert job(office, HEAD, offer.job_id).stage == "offer"
    with pytest.raises(ConflictError, match="offer-not-draft"):
        offers.change_offer(office, ESTIMATOR, offer.id, offer.version, {"seed": 3})
    signed(office, offer)
    assert job(office, HEAD, offer.job_id).stage == "work"
    change_job(office, ESTIMATOR, offer.job_id, job(office, HEAD, offer.job_id).version, {"stage": "watch"})
    draft = offers.draft_offer(office, ESTIMATOR, offer.job_id, offer.walk_id, {"language": "en", "issued_on": ISSUED})
    draft = with_papers(office, draft)
    offers.send_offer(office, ESTIMATOR, draft.id, draft.version)
    assert job(office, HEAD, offer.job_id).stage == "watch"


def test_a_revision_takes_the_place_of_what_was_sent(office: Office) -> None:
    """The first holds until the second is sent; then only the second can be accepted; both can be read."""
    first = sent(office)
    second = offers.revise_offer(office, ESTIMATOR, first.id)
    assert (second.number, second.revision, second.state, second.answers) == (1, 2, "draft", None)
    assert offers.offer(office, HEAD, first.id).state == "sent"
    with pytest.raises(ConflictError, match="offer-revised"):
        offers.revise_offer(office, ESTIMATOR, first.id)
    second = with_papers(office, second)
    offers.send_offer(office, ESTIMATOR, second.id, second.version)
    assert offers.offer(office, HEAD, first.id).state == "replaced"
    with pytest.raises(ConflictError, match="offer-replaced"):
        signed(office, first)
    assert papers.paper(office, HEAD, first.id, "offer/offer.pdf")
    assert signed(office, second).offer_id == second.id
    with pytest.raises(ConflictError, match="offer-accepted"):
        offers.revise_offer(office, ESTIMATOR, second.id)


def test_an_acceptance_is_one_and_the_same_however_often_it_comes(office: Office) -> None:
    """Again, with the name spaced otherwise; another name, date or option conflicts."""
    offer = sent(office)
    first = signed(office, offer)
    assert signed(office, offer, name=f"  {WHO.replace(' ', '   ')} ") == first
    pad = next(iter(choices(offer)))
    for other in ({"name": "Somebody else"}, {"options": {pad: choices(offer)[pad][1]}}, {"signed_on": SIGNED}):
        with pytest.raises(ConflictError, match="accepted-otherwise"):
            signed(office, offer, **other)
    assert offers.acceptance(office, HEAD, offer.id) == first
    assert first.consent == consent(offer)
    assert first.who == ESTIMATOR.who


def test_an_accepted_offer_is_sealed_and_its_sheet_is_made(office: Office) -> None:
    """The seal stands before the sheet, so that the sheet shows it; the first sheet stays."""
    offer = accepted(office)
    seen = sealing.seal_of(office, HEAD, offer.id)
    assert seen.findings == ()
    (task,) = list_tasks(office, HEAD, about=offer.id).items
    assert (task.kind, task.needs) == ("accepted", "offers.read")
    handed = handing.payload_of(office.store.blobs, task)
    assert json.loads(parcel.part(handed, "accepted.json") or b"")["seal"] == seen.short
    sheet = accepted_sheet(handed, untold)
    for content in (sheet, b"another"):
        with office.writing(ESTIMATOR) as unit:
            accepted_papers.made(office, unit, task, content)
    assert papers.paper(office, HEAD, offer.id, "accepted.pdf") == sheet
    assert sealing.seal_on_paper(office, HEAD, seen.short.lower()).offer_id == offer.id
    assert sealing.seals_looked_at(office, HEAD) == ()


def test_all_of_an_acceptance_or_nothing(office: Office) -> None:
    """Where it cannot be sealed nothing was accepted, and it can be accepted later."""
    offer = sent(office)
    with pytest.raises(OSError, match="no-keys"):
        signed(replace(office, keys=None), offer)
    assert offers.offer(office, HEAD, offer.id).state == "sent"
    assert job(office, HEAD, offer.job_id).stage == "offer"
    with pytest.raises(MissingError):
        offers.acceptance(office, HEAD, offer.id)
    assert signed(office, offer)


def test_a_wrong_click_can_be_undone(office: Office) -> None:
    """Declined and opened again; taken back and brought back; the history tells all of it."""
    offer = sent(office)
    declined = offers.decline_offer(office, ESTIMATOR, offer.id, offer.version, "too dear")
    assert (declined.state, declined.declined_because) == ("declined", "too dear")
    opened = offers.reopen_offer(office, ESTIMATOR, offer.id, declined.version)
    back = offers.withdraw_offer(office, ESTIMATOR, offer.id, opened.version)
    assert standing(back, office.now()) == "withdrawn"
    with pytest.raises(ConflictError, match="offer-withdrawn"):
        signed(office, offer)
    offers.bring_back_offer(office, ESTIMATOR, offer.id, back.version)
    assert signed(office, offer)
    told = [(one.action, (one.after or {}).get("state")) for one in offers.offer_history(office, HEAD, offer.id)]
    assert told == [
        ("made", "draft"),
        ("changed", None),
        ("changed", "sent"),
        ("changed", "declined"),
        ("changed", "sent"),
        ("withdrawn", None),
        ("brought back", None),
        ("changed", "accepted"),
    ]


def test_an_offer_holds_until_its_last_day_is_over_everywhere(office: Office) -> None:
    """Midnight of the last day at the last place on earth is noon of the next in UTC."""
    offer = sent(office)
    assert offer.expires_on is not None
    end = dt.datetime.combine(offer.expires_on, dt.time(), dt.UTC) + dt.timedelta(days=1, hours=12)
    assert standing(offer, end - dt.timedelta(seconds=1)) == "sent"
    assert standing(offer, end) == "expired"
    with pytest.raises(ConflictError, match="offer-expired"):
        signed(at(office, end), offer, signed_on=None)
    # Signed in time, and recorded when the paper came back.
    assert signed(at(office, end), offer, signed_on=offer.expires_on)


def test_only_what_is_offered_can_be_chosen(office: Office) -> None:
    """One pad alone may be ordered; no pad, another pad, or an option of another pad may not."""
    offer = sent(office)
    pads = choices(offer)
    first, second = pads
    for options in ({}, {"nowhere": pads[first][0]}, {first: "none"}, {first: "overlay", second: "pulverise-and-pave"}):
        assert not options or any(option not in pads.get(pad, ()) for pad, option in options.items())
        with pytest.raises(InputError):
            signed(office, offer, options=options)
    assert signed(office, offer, options={second: pads[second][0]}).options == {second: pads[second][0]}


# --- what is sent never changes, whatever is done -------------------------------------------------

ACTS = ("change", "papers", "send", "withdraw", "bring back", "revise", "decline", "reopen", "accept", "link", "job")


def _do(office: Office, act: str, of: Offer) -> None:
    """Do something with an offer as it is now; what its state forbids is refused in our own words."""
    now = offers.offer(office, ESTIMATOR, of.id)
    args = (office, ESTIMATOR, of.id, now.version)
    match act:
        case "change":
            offers.change_offer(*args, {"issued_on": now.issued_on, "seed": now.version, "language": "en"})
        case "papers":
            with_papers(office, now)
        case "send":
            offers.send_offer(*args)
        case "withdraw":
            offers.withdraw_offer(*args)
        case "bring back":
            offers.bring_back_offer(*args)
        case "revise":
            offers.revise_offer(office, ESTIMATOR, of.id)
        case "decline":
            offers.decline_offer(*args, "no")
        case "reopen":
            offers.reopen_offer(*args)
        case "accept":
            signed(office, now)
        case "link":
            links.make_link(office, ESTIMATOR, of.id, "accept")
        case _:
            found = job(office, HEAD, of.job_id)
            turn = withdraw_job if found.withdrawn_at is None else bring_back_job
            turn(office, HEAD, found.id, found.version)


def _said(offer: Offer) -> dict[str, Any]:
    names = ("job_id", "walk_id", "number", "revision", "language", "issued_on", "expires_on", "request", "inputs")
    return {name: getattr(offer, name) for name in (*names, "answers", "says")}


@settings(max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(acts=st.lists(st.tuples(st.sampled_from(ACTS), st.integers(0, 3)), min_size=6, max_size=24))
def test_no_history_changes_what_was_sent(office: Office, acts: list[tuple[str, int]]) -> None:
    """Any calls on an offer and its revisions: what was sent says the same for ever, at most one revision stands."""
    first = with_papers(office, a_draft(office))
    said: dict[str, dict[str, Any]] = {}
    was_accepted: dict[str, Offer] = {}
    for act, which in [("send", 0), *acts]:
        every = offers.list_offers(office, HEAD, first.job_id).items
        every = sorted(every, key=lambda one: one.revision)
        with contextlib.suppress(ConflictError, InputError):
            _do(office, act, every[which % len(every)])
        for one in offers.list_offers(office, HEAD, first.job_id).items:
            if one.state != "draft":
                assert said.setdefault(one.id, _said(one)) == _said(one)
            if one.state == "accepted":
                assert was_accepted.setdefault(one.id, one) == one
        now = offers.list_offers(office, HEAD, first.job_id).items
        assert sum(one.state in ("sent", "accepted") and one.withdrawn_at is None for one in now) <= 1
        assert set(was_accepted) <= {one.id for one in now if one.state == "accepted"}
    assert sealing.seals_looked_at(office, HEAD) == ()


# --- refusals -----------------------------------------------------------------------------------


def test_the_database_itself_keeps_what_was_sent(office: Office) -> None:
    """Not one column of what it says can be changed, nor can it be made a draft again, whoever asks."""
    offer = sent(office)
    other = {"number": 9, "revision": 9, "language": "es", "issued_on": SIGNED, "expires_on": SIGNED, "request": {}}
    for values in ({name: value} for name, value in {**other, **BLANK, "says": {"x": 1}, "state": "draft"}.items()):
        with pytest.raises(ConflictError), office.writing(ESTIMATOR) as unit:
            unit.offers.change(offer.id, None, **values)
    assert offers.offer(office, HEAD, offer.id) == offer


@pytest.mark.parametrize("kind", ["crew", "customer"])
def test_the_crew_and_customers_reach_no_offer_by_these_doors(office: Office, kind: Any) -> None:
    """Not to read, not to write, not to seal, not to link."""
    offer = sent(office)
    caller = replace(CREW, kind=kind)
    args = (office, caller, offer.id, offer.version)
    for call in (
        lambda: offers.list_offers(office, caller, offer.job_id),
        lambda: offers.offer(office, caller, offer.id),
        lambda: offers.draft_offer(office, caller, offer.job_id, offer.walk_id, {}),
        lambda: offers.change_offer(*args, {}),
        lambda: offers.withdraw_offer(*args),
        lambda: offers.bring_back_offer(*args),
        lambda: offers.send_offer(*args),
        lambda: offers.revise_offer(office, caller, offer.id),
        lambda: offers.decline_offer(*args, ""),
        lambda: offers.reopen_offer(*args),
        lambda: offers.record_acceptance(office, caller, offer.id, Given({}, "x")),
        lambda: offers.acceptance(office, caller, offer.id),
        lambda: offers.offer_history(office, caller, offer.id),
        lambda: papers.make_papers(*args),
        lambda: papers.attach_papers(*args, b"", b"", 0),
        lambda: papers.paper_names(office, caller, offer.id),
        lambda: papers.paper(office, caller, offer.id, "estimate.json"),
        lambda: papers.input_names(office, caller, offer.id),
        lambda: papers.input_file(office, caller, offer.id, "site.toml"),
        lambda: sealing.seal_of(office, caller, offer.id),
        lambda: sealing.seal_on_paper(office, caller, "0"),
        lambda: sealing.seals_looked_at(office, caller),
        lambda: links.list_links(office, caller, offer.id),
        lambda: links.make_link(office, caller, offer.id, "read"),
        lambda: links.withdraw_link(office, caller, offer.id, offer.id),
        lambda: links.list_questions(office, caller, offer.id),
        lambda: links.answer_question(office, caller, offer.id, offer.id, 1, "x"),
    ):
        with pytest.raises(RefusedError):
            call()


def test_a_letter_with_ranges_is_sent_and_not_accepted(office: Office) -> None:
    """It has no end and nothing to choose."""
    letter = sent(office, budget=True)
    assert (letter.expires_on, choices(letter)) == (None, {})
    with pytest.raises(ConflictError, match="offer-letter"):
        signed(office, letter)


def test_what_was_seen_must_be_the_latest(office: Office) -> None:
    """Two people at one draft: the second is told."""
    draft = a_draft(office)
    offers.change_offer(office, HEAD, draft.id, draft.version, {"seed": 2})
    for call in (
        lambda: offers.change_offer(office, ESTIMATOR, draft.id, draft.version, {"seed": 3}),
        lambda: papers.make_papers(office, ESTIMATOR, draft.id, draft.version),
        lambda: with_papers(office, draft),
        lambda: offers.withdraw_offer(office, ESTIMATOR, draft.id, draft.version),
    ):
        with pytest.raises(StaleError):
            call()


@pytest.mark.parametrize(
    ("values", "code"),
    [
        ({"name": "  "}, "desk.no-name"),
        ({"signed_on": dt.date(2026, 5, 3)}, "desk.signed-when"),
        ({"signed_on": dt.date(2026, 5, 6)}, "desk.signed-when"),
        ({"consent": "I agree to something else."}, "desk.consent-other"),
    ],
)
def test_a_signature_is_whole_or_refused(office: Office, values: dict[str, Any], code: str) -> None:
    """A name, a date that can be, the sentence that stands there."""
    offer = sent(office)
    with pytest.raises(CourtwrightError) as told:
        signed(office, offer, **values)
    assert told.value.problem.id == code
    assert offers.offer(office, HEAD, offer.id).state == "sent"


def test_an_offer_needs_a_walk_of_its_job(office: Office) -> None:
    """A walk of another job is as good as none."""
    (first, _), (_, walk) = a_walk(office), a_walk(office)
    with pytest.raises(MissingError):
        offers.draft_offer(office, ESTIMATOR, first, walk, {"language": "en", "issued_on": ISSUED})
    nobody: Caller = ESTIMATOR
    with pytest.raises(MissingError):
        offers.offer(office, nobody, walk)


# --- at once --------------------------------------------------------------------------------------


def test_many_accept_at_once_and_the_chain_is_whole(office: Office) -> None:
    """Four offers, each accepted by two people at the same moment: one acceptance each, four seals in one chain."""
    made = [sent(office) for _ in range(4)]

    def accept(number: int) -> str:
        offer, name = made[number // 2], ("Rosa", "Ana")[number % 2]
        with contextlib.suppress(ConflictError):
            return signed(office, offer, name=name).name
        return ""

    with ThreadPoolExecutor(8) as threads:
        names = list(threads.map(accept, range(8)))
    assert [sum(map(bool, pair)) for pair in zip(names[::2], names[1::2], strict=True)] == [1, 1, 1, 1]
    with office.reading() as unit:
        seals = unit.seals.all()
    assert [one.seq for one in seals] == [1, 2, 3, 4]
    assert sealing.seals_looked_at(office, HEAD) == ()

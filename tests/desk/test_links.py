"""Links to offers: shown once, kept as hashes, ended in one way for all, each to its own offer."""

from __future__ import annotations

import datetime as dt
import hashlib
from dataclasses import replace

import pytest

from courtwright.desk.offers import customers, links, offers
from courtwright.desk.office import Office
from courtwright.desk.people import sessions
from courtwright.errors import ConflictError, InputError, MissingError, StaleError, UnknownCallerError
from courtwright.trade.words import render
from tests.desk.jobs import ESTIMATOR, HEAD
from tests.desk.offered import a_draft, customer, sent


def test_a_token_is_told_once_and_kept_as_its_hash(office: Office) -> None:
    """43 letters; SHA-256 in the row, and neither in the history nor in what is listed."""
    offer = sent(office)
    token, link = links.make_link(office, ESTIMATOR, offer.id, "read")
    assert len(token) == 43
    assert link.token_hash == hashlib.sha256(token.encode()).hexdigest()
    with office.reading() as unit:
        told = str(unit.changes.of("link", link.id, most=9)) + str(unit.changes.events(most=99))
    assert token not in told
    assert link.token_hash not in told
    assert link.token_hash not in repr(links.list_links(office, HEAD, offer.id))


def test_whoever_has_the_token_comes_in(office: Office) -> None:
    """The session is the link's customer, sees that link's offer, and ends no later than the link."""
    offer = sent(office)
    token, link = links.make_link(office, ESTIMATOR, offer.id, "accept")
    cookie, session = customers.enter(office, token)
    caller = sessions.customer_of(office, cookie)
    assert (caller.kind, caller.offer_id, caller.who) == ("customer", offer.id, f"link:{link.id}")
    assert session.expires_at <= link.expires_at
    assert customers.shown(office, caller).number == offer.number


def test_a_link_holds_as_long_as_the_offer_or_sixty_days(office: Office) -> None:
    """Whichever is longer; a letter's for sixty days; or as it was told."""
    offer, letter = sent(office), sent(office, budget=True)
    assert offer.expires_on is not None
    _, usual = links.make_link(office, ESTIMATOR, offer.id, "read")
    assert usual.expires_at == usual.made_at + dt.timedelta(days=60)
    late = replace(office, now=lambda: dt.datetime(2026, 5, 20, tzinfo=dt.UTC))
    _, of_letter = links.make_link(late, ESTIMATOR, letter.id, "read")
    assert of_letter.expires_at == dt.datetime(2026, 7, 19, tzinfo=dt.UTC)
    end = dt.datetime(2026, 6, 1, 12, tzinfo=dt.UTC)
    assert links.make_link(office, ESTIMATOR, offer.id, "read", end)[1].expires_at == end


def test_every_link_that_opens_nothing_is_answered_alike(office: Office) -> None:
    """Never made, mistyped, taken back, ended: one and the same answer."""
    offer = sent(office)
    end = office.now() + dt.timedelta(days=1)
    (back, link), (over, _) = (links.make_link(office, ESTIMATOR, offer.id, "read", end) for _ in range(2))
    links.withdraw_link(office, ESTIMATOR, offer.id, link.id)
    later = replace(office, now=lambda: end)
    told = set[str]()
    for where, token in ((office, back), (later, over), (office, "x" * 43), (office, ""), (office, "\x00é" * 90)):
        with pytest.raises(UnknownCallerError) as refused:
            customers.enter(where, token)
        told.add(render(refused.value.problem) + str(refused.value) + refused.value.code)
    assert len(told) == 1


def test_taking_a_link_back_ends_its_sessions_at_once(office: Office) -> None:
    """Those of this link, and of no other."""
    offer = sent(office)
    made = [links.make_link(office, ESTIMATOR, offer.id, "accept") for _ in range(2)]
    cookies = [customers.enter(office, token)[0] for token, _ in made]
    callers = [sessions.customer_of(office, cookie) for cookie in cookies]
    links.withdraw_link(office, ESTIMATOR, offer.id, made[0][1].id)
    with pytest.raises(UnknownCallerError):
        sessions.customer_of(office, cookies[0])
    with pytest.raises(UnknownCallerError):
        customers.shown(office, callers[0])
    assert sessions.customer_of(office, cookies[1]) == callers[1]
    with office.reading() as unit:
        ended = unit.sessions.all(unit.sessions.table.c.withdrawn_at.is_not(None))
    assert [one.link_id for one in ended] == [made[0][1].id]
    # A second time changes nothing.
    assert links.withdraw_link(office, ESTIMATOR, offer.id, made[0][1].id).version == 2


def test_questions_are_answered_as_they_were_seen(office: Office) -> None:
    """What is asked reaches the office; the answer reaches who asked."""
    offer = sent(office)
    caller = customer(office, offer)
    question = customers.ask(office, caller, "When?")
    assert [one.text for one in links.list_questions(office, HEAD, offer.id)] == ["When?"]
    links.answer_question(office, HEAD, offer.id, question.id, question.version, "In June.")
    assert [one.answer for one in customers.shown(office, caller).questions] == ["In June."]
    with pytest.raises(StaleError):
        links.answer_question(office, HEAD, offer.id, question.id, question.version, "In July.")


# --- refusals -----------------------------------------------------------------------------------


def test_only_what_was_sent_can_be_reached(office: Office) -> None:
    """No draft, nothing taken back or replaced."""
    draft, taken, replaced = a_draft(office), sent(office), sent(office)
    offers.withdraw_offer(office, ESTIMATOR, taken.id, taken.version)
    with office.writing(HEAD) as unit:
        unit.offers.change(replaced.id, None, state="replaced")
    for offer in (draft, taken, replaced):
        with pytest.raises(ConflictError):
            links.make_link(office, ESTIMATOR, offer.id, "read")


@pytest.mark.parametrize("days", [-1, 0, 4000])
def test_a_link_ends_some_day_and_not_before_it_begins(office: Office, days: int) -> None:
    """Neither in the past nor after ten years."""
    offer = sent(office)
    end = dt.datetime(2026, 5, 4, 8, tzinfo=dt.UTC) + dt.timedelta(days=days)
    with pytest.raises(InputError):
        links.make_link(office, ESTIMATOR, offer.id, "read", end)


def test_links_and_questions_are_found_under_their_own_offer_alone(office: Office) -> None:
    """Under another offer's address there is none."""
    offer, other = sent(office), sent(office)
    _, link = links.make_link(office, ESTIMATOR, offer.id, "accept")
    question = customers.ask(office, customer(office, offer), "When?")
    with pytest.raises(MissingError):
        links.withdraw_link(office, ESTIMATOR, other.id, link.id)
    with pytest.raises(MissingError):
        links.answer_question(office, ESTIMATOR, other.id, question.id, question.version, "x")
    assert links.list_links(office, HEAD, other.id) == links.list_questions(office, HEAD, other.id) == ()

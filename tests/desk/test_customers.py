"""What a customer sees and does by a link: the one offer, nothing of how it was priced, and an answer given once."""

from __future__ import annotations

import datetime as dt
import io
import itertools
import json
import re
from collections.abc import Iterator
from dataclasses import asdict, replace
from typing import Any

import pypdf
import pytest

from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.accepted import run as accepted_sheet
from courtwright.desk.offers import accepted_papers, customers, offers, papers
from courtwright.desk.offers.customers import MOST_QUESTIONS
from courtwright.desk.offers.sealing import seal_of
from courtwright.desk.office import Office
from courtwright.desk.work import handing
from courtwright.desk.work.tasks import list_tasks
from courtwright.errors import (
    ConflictError,
    InputError,
    MissingError,
    RefusedError,
    TooManyError,
    UnknownCallerError,
)
from courtwright.store.rows.company import COMPANY
from courtwright.store.rows.offers import Offer
from tests.desk.jobs import ESTIMATOR, HEAD
from tests.desk.kinds.demo import untold
from tests.desk.offered import WHO, a_draft, answers, chosen, customer, sent, site
from tests.offer.specimens import logo

#: Words of the estimator's answer that no customer's file or answer may hold.
KEYS = re.compile(
    r"\bp(?:10|50|80|90)\b|percentile|margin|overhead|profit|drivers|build_up|unit_rate_price|per_court_year|contingency"
    r"|chance.of.los|cost.build|estimate",
    re.IGNORECASE,
)


def with_sheet(office: Office, offer: Offer) -> None:
    """Do the work that an acceptance asked for."""
    (task,) = list_tasks(office, HEAD, about=offer.id).items
    sheet = accepted_sheet(handing.payload_of(office.store.blobs, task), untold)
    with office.writing(ESTIMATOR) as unit:
        accepted_papers.made(office, unit, task, sheet)


def agreed(office: Office, caller: Any) -> str:
    consent = customers.shown(office, caller).consent
    assert consent is not None
    return consent


# --- laws ---------------------------------------------------------------------------------------


def _figures() -> set[str]:
    """Return every figure of the estimate that tells how a price was made, as it could be written."""
    estimate = json.loads(parcel.unpack(answers())["estimate.json"])
    found = set[str]()
    for pad in estimate["pads"]:
        for option in pad["options"]:
            amounts = [*option["price"].values(), option["unit_rate_price"], option["build_up_price"]]
            amounts += option["per_court_year"].values()
            amounts = [amount for amount in amounts if amount >= 1000 and amount != option["firm_price"]]
            assert amounts
            for amount in amounts:
                found |= {f"{amount:.2f}", f"{amount:,.2f}", f"{amount:.0f}", f"{amount:,.0f}", repr(amount)}
    return found


def _texts(name: str, content: bytes) -> Iterator[str]:
    """Yield what can be read in a file: its pages' words, its letters, its names."""
    if name.endswith(".pdf"):
        pdf = pypdf.PdfReader(io.BytesIO(content))
        yield from (page.extract_text() for page in pdf.pages)
        yield str(pdf.metadata)
    else:
        yield content.decode("utf-8" if name.endswith((".json", ".svg")) else "latin-1")


def test_nothing_that_reaches_a_customer_tells_how_a_price_was_made(office: Office) -> None:
    """No cost, margin, percentile or chance of loss: not by name, and not one figure of the estimate."""
    offer = sent(office)
    caller = customer(office, offer)
    customers.accept(office, caller, chosen(offer), WHO, agreed(office, caller))
    with_sheet(office, offer)
    shown = customers.shown(office, caller)
    figures = _figures()
    assert len(figures) > 50
    reached = {name: customers.file(office, caller, name) for name in shown.files}
    assert {"offer.pdf", "offer.json", "plan-upper.svg", "plan-lower.svg", "accepted.pdf", "photo-0.jpg"} <= set(
        reached
    )
    texts = [("answer", json.dumps(asdict(shown), default=str))]
    texts += [(name, text) for name, content in reached.items() for text in _texts(name, content)]
    for name, text in texts:
        numbers = set(re.findall(r"\d[\d,]*(?:\.\d+)?", text))
        assert not figures & numbers, name
        if not name.endswith(".jpg"):
            assert not KEYS.search(text), (name, KEYS.search(text))
    # The search does find what is not to be found where it is.
    estimate = papers.paper(office, HEAD, offer.id, "estimate.json").decode()
    assert KEYS.search(estimate)
    assert figures & set(re.findall(r"\d[\d,]*(?:\.\d+)?", estimate))


def test_photos_leave_as_pixels_alone(office: Office) -> None:
    """Small JPEGs without a place, a time or anything else in them."""
    from PIL import Image

    offer = sent(office)
    caller = customer(office, offer, "read")
    photos = [name for name in customers.shown(office, caller).files if name.endswith(".jpg")]
    assert photos
    for name in photos:
        with Image.open(io.BytesIO(customers.file(office, caller, name))) as picture:
            assert (picture.format, max(picture.size) <= 900, len(picture.getexif())) == ("JPEG", True, 0)


def test_every_other_file_stays_in_the_office(office: Office) -> None:
    """Whatever the name and however it is written."""
    offer = sent(office)
    caller = customer(office, offer)
    names = papers.paper_names(office, HEAD, offer.id)
    kept = [name for name in names if name.rpartition("/")[2] not in customers.shown(office, caller).files]
    assert {"estimate.json", "inputs.json", "offer/quantities.xlsx"} <= set(kept)
    for name in (*names, *kept, "../estimate.json", "offer/../estimate.json", "site.toml", "photos/upper-1.jpg", ""):
        if name not in customers.shown(office, caller).files:
            with pytest.raises(MissingError):
                customers.file(office, caller, name)


def test_a_customer_accepts_once(office: Office) -> None:
    """The same again is the same acceptance; another conflicts; the office sees it under its seal."""
    offer = sent(office)
    caller = customer(office, offer)
    sentence = agreed(office, caller)
    first = customers.accept(office, caller, chosen(offer), WHO, sentence)
    assert customers.accept(office, caller, chosen(offer), WHO, sentence) == first
    with pytest.raises(ConflictError, match="accepted-otherwise"):
        customers.accept(office, caller, chosen(offer), "Somebody else", sentence)
    with pytest.raises(ConflictError, match="offer-accepted"):
        customers.decline(office, caller, "no")
    shown = customers.shown(office, caller)
    assert (shown.standing, shown.acceptance, shown.consent) == ("accepted", first, None)
    assert shown.seal == seal_of(office, HEAD, offer.id).short
    assert (first.who, first.signed_on, first.consent) == (caller.who, None, sentence)


def test_the_sentence_names_the_offer_in_its_language(office: Office) -> None:
    """Number, revision and date; Spanish for a Spanish offer."""
    english, spanish = sent(office), sent(office, language="es")
    said = [agreed(office, customer(office, offer)) for offer in (english, spanish)]
    assert "offer 1, revision 1, of May 4, 2026" in said[0]
    assert "oferta 1, revisión 1, del 4 de mayo de 2026" in said[1]


def test_a_customer_declines_and_says_why(office: Office) -> None:
    """The same again changes nothing; the office may open it again."""
    offer = sent(office)
    caller = customer(office, offer)
    first = customers.decline(office, caller, "too dear")
    assert customers.decline(office, caller, "too dear") == first
    assert customers.shown(office, caller).standing == "declined"
    with pytest.raises(ConflictError, match="offer-declined"):
        customers.accept(office, caller, chosen(offer), WHO, "x")
    offers.reopen_offer(office, HEAD, offer.id, first.version)
    assert customers.accept(office, caller, chosen(offer), WHO, agreed(office, caller))


def test_a_replaced_offer_is_still_read_and_no_longer_accepted(office: Office) -> None:
    """Its link does not lead to the revision."""
    from tests.desk.offered import with_papers

    offer = sent(office)
    caller = customer(office, offer)
    revision = with_papers(office, offers.revise_offer(office, ESTIMATOR, offer.id))
    offers.send_offer(office, ESTIMATOR, revision.id, revision.version)
    shown = customers.shown(office, caller)
    assert (shown.standing, shown.revision, shown.consent) == ("replaced", 1, None)
    with pytest.raises(ConflictError, match="offer-replaced"):
        customers.accept(office, caller, chosen(offer), WHO, "x")


def test_the_logo_of_the_papers_is_the_customers_whatever_the_company_shows_since(office: Office) -> None:
    """As it was when they were made; it stands on the sheet of the acceptance too."""
    offer = sent(office)
    caller = customer(office, offer)
    assert customers.shown(office, caller).has_logo
    assert customers.logo(office, caller) == logo()
    assert "logo.png" not in customers.shown(office, caller).files
    with office.writing(HEAD) as unit:
        newer = unit.keep(logo((50, 50)))
        unit.company.add(COMPANY, name="Ada", licence="", address="", phone="", terms={}, logo_sha256=newer)
    assert customers.logo(office, caller) == logo()
    customers.accept(office, caller, chosen(offer), WHO, agreed(office, caller))
    with_sheet(office, offer)
    (page,) = pypdf.PdfReader(io.BytesIO(customers.file(office, caller, "accepted.pdf"))).pages
    assert page.images


def test_papers_without_a_logo_have_none(office: Office) -> None:
    """As those of a company that has none, and those that were made before there were any."""
    draft = a_draft(office)
    made = {name: content for name, content in parcel.unpack(answers()).items() if name != "logo.png"}
    draft = papers.attach_papers(office, ESTIMATOR, draft.id, draft.version, parcel.pack(site()), parcel.pack(made), 7)
    caller = customer(office, offers.send_offer(office, ESTIMATOR, draft.id, draft.version))
    assert not customers.shown(office, caller).has_logo
    with pytest.raises(MissingError):
        customers.logo(office, caller)


# --- refusals -----------------------------------------------------------------------------------


def test_a_customer_of_one_offer_reaches_no_other(office: Office) -> None:
    """Neither with the id of another offer nor with a link that is not theirs."""
    mine, other = sent(office), sent(office)
    caller, stranger = customer(office, mine), customer(office, other)
    question = customers.ask(office, stranger, "When?")
    for forged in (replace(caller, offer_id=other.id), replace(stranger, offer_id=mine.id), replace(caller, who="x")):
        for call in _calls(office, forged, mine):
            with pytest.raises((UnknownCallerError, RefusedError)):
                call()
    assert customers.shown(office, caller).questions == ()
    assert customers.shown(office, stranger).questions == (question,)
    customers.accept(office, caller, chosen(mine), WHO, agreed(office, caller))
    assert customers.shown(office, stranger).standing == "sent"
    assert customers.shown(office, stranger).acceptance is None


def _calls(office: Office, caller: Any, offer: Offer) -> tuple[Any, ...]:
    return (
        lambda: customers.shown(office, caller),
        lambda: customers.file(office, caller, "offer.pdf"),
        lambda: customers.logo(office, caller),
        lambda: customers.ask(office, caller, "x"),
        lambda: customers.accept(office, caller, chosen(offer), WHO, "x"),
        lambda: customers.decline(office, caller, "x"),
    )


def test_people_of_the_company_do_not_come_by_this_door(office: Office) -> None:
    """Nobody of the office accepts in a customer's name."""
    offer = sent(office)
    for caller, call in itertools.product((HEAD, ESTIMATOR), range(6)):
        with pytest.raises(RefusedError):
            _calls(office, replace(caller, offer_id=offer.id), offer)[call]()


def test_a_link_to_read_neither_accepts_nor_declines(office: Office) -> None:
    """It reads and asks."""
    offer = sent(office)
    caller = customer(office, offer, "read")
    shown = customers.shown(office, caller)
    assert (shown.consent, shown.standing) == (None, "sent")
    assert customers.ask(office, caller, "When?")
    with pytest.raises(RefusedError, match="link-reads"):
        customers.accept(office, caller, chosen(offer), WHO, "x")
    with pytest.raises(RefusedError, match="link-reads"):
        customers.decline(office, caller, "x")


def test_what_was_not_shown_is_not_agreed_to(office: Office) -> None:
    """Another sentence, no name, no option, an option that is not offered."""
    offer = sent(office)
    caller = customer(office, offer)
    sentence = agreed(office, caller)
    with pytest.raises(ConflictError, match="consent-other"):
        customers.accept(office, caller, chosen(offer), WHO, sentence + " ")
    for options, name in (({}, WHO), ({"upper": "nothing"}, WHO), (chosen(offer), " ")):
        with pytest.raises(InputError):
            customers.accept(office, caller, options, name, sentence)
    assert customers.shown(office, caller).standing == "sent"


def test_an_expired_offer_is_refused_in_words(office: Office) -> None:
    """It still can be read, and asked about."""
    offer = sent(office)
    caller = customer(office, offer)
    sentence = agreed(office, caller)
    assert offer.expires_on is not None
    late = replace(
        office, now=lambda: dt.datetime.combine(offer.expires_on, dt.time(), dt.UTC) + dt.timedelta(days=1, hours=12)
    )
    assert (customers.shown(late, caller).standing, customers.shown(late, caller).consent) == ("expired", None)
    with pytest.raises(ConflictError, match="offer-expired"):
        customers.accept(late, caller, chosen(offer), WHO, sentence)


def test_so_many_questions_and_no_more(office: Office) -> None:
    """A day later there may be more; another link is not concerned."""
    offer = sent(office)
    caller = customer(office, offer)
    for number in range(MOST_QUESTIONS):
        customers.ask(office, caller, f"{number}?")
    with pytest.raises(TooManyError):
        customers.ask(office, caller, "?")
    assert customers.ask(office, customer(office, offer), "?")
    moment = office.now() + dt.timedelta(days=1, hours=1)
    assert customers.ask(replace(office, now=lambda: moment), caller, "?")

"""The papers of offers: made of the walk as it is, kept with all that they were made of, read by whom they concern."""

from __future__ import annotations

import datetime as dt
import json

import pytest

from courtwright.desk.caller import RIGHTS
from courtwright.desk.jobs import open_job
from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.asked import OfferAsked, asked
from courtwright.desk.kinds.offer import run
from courtwright.desk.offers import offers, papers
from courtwright.desk.office import Office
from courtwright.desk.work import handing
from courtwright.errors import ConflictError, InputError, RefusedError, StaleError
from courtwright.store.rows.company import COMPANY
from courtwright.store.rows.offers import Offer
from tests.desk.demo_walk import a_walk as demo_walk
from tests.desk.jobs import ESTIMATOR, HEAD
from tests.desk.kinds.demo import untold
from tests.desk.offered import ISSUED, a_draft, answers, sent, site, with_papers
from tests.offer.specimens import logo

# --- laws ---------------------------------------------------------------------------------------


def test_papers_are_kept_with_all_that_they_were_made_of(office: Office) -> None:
    """Every file in and out is read back byte for byte; what it says and when it ends is the paper's."""
    draft = with_papers(office, a_draft(office))
    made = parcel.unpack(answers())
    assert set(papers.paper_names(office, ESTIMATOR, draft.id)) == set(made)
    assert set(papers.input_names(office, ESTIMATOR, draft.id)) == set(site())
    for name, content in made.items():
        assert papers.paper(office, ESTIMATOR, draft.id, name) == content
    for name, content in site().items():
        assert papers.input_file(office, ESTIMATOR, draft.id, name) == content
    says = json.loads(made["offer/offer.json"])
    assert draft.says == says
    assert str(draft.expires_on) == says["expires_on"]
    assert draft.inputs is not None
    assert draft.inputs["walk_seq"] == 7


def test_a_draft_that_is_changed_has_no_papers_until_they_are_made_again(office: Office) -> None:
    """Another date, language or seed makes other papers; the same values change nothing."""
    draft = with_papers(office, a_draft(office))
    same = offers.change_offer(office, ESTIMATOR, draft.id, draft.version, {"seed": 1, "issued_on": ISSUED})
    assert same == draft
    other = offers.change_offer(office, ESTIMATOR, draft.id, draft.version, {"seed": 2})
    assert (other.answers, other.inputs, other.says, other.expires_on) == (None, None, {}, None)
    with pytest.raises(ConflictError, match="offer-no-papers"):
        offers.send_offer(office, ESTIMATOR, other.id, other.version)


def a_demo_draft(office: Office) -> Offer:
    """Return a draft from a walk that says what the demo site says."""
    job_id = open_job(office, ESTIMATOR, {"name": "Two courts"}).id
    walk = demo_walk(office, job_id)
    return offers.draft_offer(office, ESTIMATOR, job_id, walk, {"language": "en", "issued_on": ISSUED})


def test_papers_are_made_of_the_walk_and_attached_to_the_version_they_were_asked_for(office: Office) -> None:
    """A worker is handed the site with its photos; what it gives are the papers, and each file of the site is kept."""
    draft = a_demo_draft(office)
    task = papers.make_papers(office, ESTIMATOR, draft.id, draft.version)
    assert (task.kind, task.about, task.needs) == ("offer", draft.id, "prices.read")
    assert papers.make_papers(office, ESTIMATOR, draft.id, draft.version).id == task.id
    handed = handing.payload_of(office.store.blobs, task)
    _, files = asked(OfferAsked, handed)
    assert {name for name in files if name.startswith("photos/")} == {n for n in site() if n.startswith("photos/")}
    result = run(handed, untold)
    with office.writing(ESTIMATOR) as unit:
        papers.papers_made(office, unit, task, result)
    made = offers.offer(office, ESTIMATOR, draft.id)
    for name in papers.input_names(office, ESTIMATOR, draft.id):
        assert papers.input_file(office, ESTIMATOR, draft.id, name) == files[name]
    assert set(papers.input_names(office, ESTIMATOR, draft.id)) == set(files)
    assert made.says["pads"][0]["options"]
    assert any(name.startswith("photos/") for name in papers.paper_names(office, ESTIMATOR, draft.id))
    late = papers.make_papers(office, ESTIMATOR, draft.id, made.version)
    offers.change_offer(office, ESTIMATOR, draft.id, made.version, {"budget": True})
    with pytest.raises(StaleError), office.writing(ESTIMATOR) as unit:
        papers.papers_made(office, unit, late, result)


def test_photos_beyond_those_shown_are_handed_without_their_pixels_and_named_by_their_hashes(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A day of photos is not carried through a worker; what the offer was computed from is named all the same."""
    draft = a_demo_draft(office)
    monkeypatch.setattr(papers, "_SHOWN", 1)
    task = papers.make_papers(office, ESTIMATOR, draft.id, draft.version)
    handed = handing.payload_of(office.store.blobs, task)
    _, files = asked(OfferAsked, handed)
    photos = sorted(name for name in site() if name.startswith("photos/"))
    assert [len(files[name]) == len(site()[name]) for name in photos] == [True] + [False] * (len(photos) - 1)
    with office.writing(ESTIMATOR) as unit:
        papers.papers_made(office, unit, task, run(handed, untold))
    for name in photos:
        assert papers.input_file(office, ESTIMATOR, draft.id, name) == site()[name]


def test_the_company_offers_under_its_own_name(office: Office) -> None:
    """As the head of the company wrote it."""
    who = {"name": "Ada Courts", "licence": "CW-17", "address": "3 Mill Lane", "phone": "555 0117"}
    with office.writing(HEAD) as unit:
        unit.company.add(COMPANY, **who, terms={}, logo_sha256=None)
    draft = a_draft(office)
    task = papers.make_papers(office, ESTIMATOR, draft.id, draft.version)
    ask, _ = asked(OfferAsked, handing.payload_of(office.store.blobs, task))
    assert ask.contractor == who


def a_company(office: Office, terms: dict[str, object], picture: bytes | None) -> None:
    """Write down the company as it may be kept."""
    with office.writing(HEAD) as unit:
        sha256 = None if picture is None else unit.keep(picture)
        unit.company.add(COMPANY, name="Ada", licence="", address="", phone="", terms=terms, logo_sha256=sha256)


def test_the_companys_texts_and_logo_are_handed_to_the_worker_and_kept_with_the_papers(office: Office) -> None:
    """The logo as a part of its own, which is no file of the site; a later one changes no papers that are made."""
    a_company(office, {"payment": {"en": "Half first."}, "needs": "as earlier releases kept it"}, logo())
    draft = a_demo_draft(office)
    task = papers.make_papers(office, ESTIMATOR, draft.id, draft.version)
    handed = handing.payload_of(office.store.blobs, task)
    ask, files = asked(OfferAsked, handed)
    assert ask.terms == {"payment": {"en": "Half first."}}
    assert parcel.part(handed, "logo.png") == logo()
    assert "logo.png" not in files
    result = run(handed, untold)
    with office.writing(ESTIMATOR) as unit:
        papers.papers_made(office, unit, task, result)
    made = offers.offer(office, ESTIMATOR, draft.id)
    assert papers.paper(office, ESTIMATOR, draft.id, "logo.png") == logo()
    assert "logo.png" not in papers.input_names(office, ESTIMATOR, draft.id)
    (payment,) = (block for block in made.says["terms"] if block["heading"] == "Payment")
    assert payment["typed"] == [["Half first."]]


def test_a_company_without_texts_or_logo_hands_none(office: Office) -> None:
    """Nor does one whose record is of an earlier release."""
    a_company(office, {"payment": "half", "colour": 3}, None)
    draft = a_demo_draft(office)
    task = papers.make_papers(office, ESTIMATOR, draft.id, draft.version)
    handed = handing.payload_of(office.store.blobs, task)
    assert asked(OfferAsked, handed)[0].terms is None
    assert parcel.part(handed, "logo.png") is None


def test_a_question_of_an_earlier_release_is_still_read() -> None:
    """It says nothing of terms."""
    was = {"issued_on": "2026-05-01", "contractor": {"name": "Ada"}, "options": None}
    ask, _ = asked(OfferAsked, parcel.pack({"ask.json": json.dumps(was).encode()}))
    assert ask == OfferAsked("2026-05-01", contractor={"name": "Ada"})


def test_the_options_to_show_are_chosen_in_the_draft(office: Office) -> None:
    """They go to the worker with the rest; choosing others takes the papers away."""
    draft = with_papers(office, a_draft(office))
    options = {"upper": ["resurface", "hold"]}
    chosen_anew = offers.change_offer(office, ESTIMATOR, draft.id, draft.version, {"options": options})
    assert chosen_anew.answers is None
    task = papers.make_papers(office, ESTIMATOR, draft.id, chosen_anew.version)
    ask, _ = asked(OfferAsked, handing.payload_of(office.store.blobs, task))
    assert ask.options == options
    assert (
        offers.change_offer(office, ESTIMATOR, draft.id, chosen_anew.version, {"options": None}).request["options"]
        is None
    )


# --- refusals -----------------------------------------------------------------------------------


def test_costs_are_for_who_may_read_prices(office: Office, monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody who reads offers and no prices has the customer's files alone."""
    offer = sent(office)
    monkeypatch.setitem(RIGHTS, "prices.read", frozenset({"head"}))
    names = papers.paper_names(office, ESTIMATOR, offer.id)
    assert "offer/offer.pdf" in names
    assert not {"estimate.json", "inputs.json", "offer/quantities.xlsx"} & set(names)
    with pytest.raises(RefusedError):
        papers.paper(office, ESTIMATOR, offer.id, "estimate.json")
    assert papers.paper(office, HEAD, offer.id, "estimate.json")


def test_papers_of_another_site_or_date_are_refused(office: Office) -> None:
    """Papers go with the very files they were made of."""
    draft = a_draft(office)
    other = parcel.pack({**site(), "site.toml": b"[job]"})
    for inputs, made in (
        (other, answers()),
        (parcel.pack(site()), answers(dt.date(2026, 5, 5))),
        (parcel.pack(site()), parcel.pack({"offer/offer.pdf": b"%PDF"})),
        (b"no parcel", answers()),
    ):
        with pytest.raises(InputError):
            papers.attach_papers(office, ESTIMATOR, draft.id, draft.version, inputs, made, 7)
    assert offers.offer(office, HEAD, draft.id).answers is None

"""The words of the papers: who offers, terms and cautions, each with a source."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.errors import TradeDataError
from courtwright.trade import judgement, tables
from courtwright.trade.papers import SUBJECTS, Contractor, OwnText, cautions, house, terms
from courtwright.trade.usual_terms import usual_terms
from courtwright.trade.words import Language, texts

EVERY = (*(terms(name) for name in ("warranty", "exclusions", "payment", "needs", "limits")), cautions())
CUSTOMERS = ("home", "club", "school", "municipal", "manager", None)


@pytest.mark.parametrize("clauses", EVERY, ids=lambda c: c.name)
def test_every_clause_has_its_text_and_names_remedies_that_are(clauses):
    """In both languages; the remedies are those of ``trade/remedies``."""
    assert clauses.clause
    for clause in clauses.clause:
        assert clauses.says(clause).id in texts()
        assert {*clause.remedies, *clause.unless} <= set(judgement.remedies())
    assert len({clause.id for clause in clauses.clause}) == len(clauses.clause)


def test_every_remedy_says_what_its_warranty_covers_or_has_none_of_its_own():
    """Companions that lay nothing of their own to come back are left out by name."""
    covered = {remedy for clause in terms("warranty").clause for remedy in clause.remedies}
    assert set(judgement.remedies()) - covered == {"strip-coatings", "restore-access"}


@pytest.mark.parametrize("customer", CUSTOMERS)
def test_every_kind_of_customer_has_one_way_to_pay(customer: str | None):
    """Dated, and to be checked locally."""
    found = [c for c in terms("payment").clause if c.concerns(frozenset(), customer, frozenset())]
    assert len(found) == 1
    assert terms("payment").dated
    assert terms("payment").check_locally


def test_cautions_go_with_the_work_and_two_always():
    """Local law decides, and licensed professionals do; dust where something is cut; tendons where concrete may be."""
    always = {c.id for c in cautions().clause if c.concerns(frozenset(), None, frozenset({"asphalt"}))}
    assert always == {"local-law", "aid"}
    dig = {c.id for c in cautions().clause if c.concerns(frozenset({"root-barrier"}), None, frozenset({"asphalt"}))}
    assert {"utilities", "trench", "roots"} <= dig
    slab = {c.id for c in cautions().clause if c.concerns(frozenset({"resurface"}), None, frozenset({"concrete"}))}
    assert "tendons" in slab


def test_a_clause_is_not_said_beside_what_makes_it_untrue():
    """New colour alone leaves the cracks; with a membrane repair it does not."""
    (coats,) = (c for c in terms("limits").clause if c.id == "coats")
    assert coats.concerns(frozenset({"resurface"}), None, frozenset())
    assert not coats.concerns(frozenset({"resurface", "membrane-repair"}), None, frozenset())


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_usual_terms_are_told_whole(language: Language):
    """Every clause of each subject once, the warranty by what it covers, payment by who pays; no caution among them."""
    told = {each.subject: each.says for each in usual_terms(language)}
    assert tuple(told) == SUBJECTS
    assert told["insurance"] == told["cancellation"] == ()
    assert [len(told[name]) for name in ("exclusions", "payment", "needs")] == [
        len(terms(name).clause) for name in ("exclusions", "payment", "needs")
    ]
    covered = {clause.id for clause in terms("warranty").clause}
    assert len(told["warranty"]) >= len(covered)
    every = [sentence for sentences in told.values() for sentence in sentences]
    assert all(re.fullmatch(r"[^⟨⟩{}]+\.", sentence) for sentence in every)
    before = {"en": "For ", "es": "Para "}[language]
    assert all(sentence.startswith(before) for sentence in told["payment"])
    assert len(set(every)) == len(every)


@given(st.text(), st.text())
def test_a_text_is_shown_in_the_language_it_was_written_in_or_in_the_other(english: str, spanish: str):
    """Nothing is made up, and nothing that was written is lost."""
    own = OwnText(english, spanish)
    assert own.written("en") == (english.strip() or spanish.strip())
    assert own.written("es") == (spanish.strip() or english.strip())


def test_a_contractors_texts_are_read_from_the_trades_own_file_and_a_subject_nobody_knows_is_refused():
    """``[terms.payment]`` in ``house.toml``; the cautions are no subject."""
    who = {"name": "Ada", "licence": "", "address": "", "source": "from memory"}
    read = tables.record(Contractor, {**who, "terms": {"payment": {"en": "Half."}}}, "house.toml")
    assert (read.own_text("payment", "es"), read.own_text("warranty", "es")) == ("Half.", "")
    for wrong in ({"cautions": {"en": "None."}}, {"payment": {"fr": "La moitié."}}, {"payment": "Half."}):
        with pytest.raises(TradeDataError):
            tables.record(Contractor, {**who, "terms": wrong}, "house.toml")


def test_the_contractor_is_marked_as_a_stand_in():
    """Until somebody edits the file."""
    assert house().illustrative
    assert house().licence == "your license number"

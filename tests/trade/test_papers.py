"""The words of the papers: who offers, terms and cautions, each with a source."""

from __future__ import annotations

import pytest

from courtwright.trade import judgement
from courtwright.trade.papers import cautions, house, terms
from courtwright.trade.words import texts

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


def test_the_contractor_is_marked_as_a_stand_in():
    """Until somebody edits the file."""
    assert house().illustrative
    assert house().licence == "your licence number"

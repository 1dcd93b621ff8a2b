"""What an option's price includes never speaks against what the option does not mend."""

from __future__ import annotations

import re

import pytest

from courtwright.offer.offered import Offered
from courtwright.offer.paper import Paper
from courtwright.offer.sections.options import leaves
from courtwright.trade.words import Language, texts
from tests.offer.sites import COURTS, request_of

#: What an item of a price says is put right: the defects that an option with it cannot also leave.
MENDS = {
    "barrier-sheet": {"root-heave"},
    "coats": {"worn-colour"},
    "hairline-filler": {"fine-cracks"},
    "old-strip-out": {"hollow-repairs"},
    "posts-pair": {"posts"},
    "string-line": {"low-spots"},
    "strip": {"failing-coat"},
    "two-colours": {"worn-colour"},
}
#: An item that speaks of cracks or their filler says of which, and a filling that is no cure how long it holds.
WHICH = {"en": r"hairline|under the|for a season", "es": r"capilares|bajo la|temporada"}
CRACKS = {"en": r"\bcracks?\b", "es": r"\bgrietas?\b"}
STAY = {"en": r"\bcracks?\b[^;:]*\bstays?\b", "es": r"\b(quedan?\b[^;:]*\bgrietas?|grietas?\b[^;:]*\bquedan?)\b"}
#: Cracks may stay where they are what a cause leaves behind, and not the cracks themselves.
CAUSE = {"en": "the cause of the cracks stays", "es": "la causa de las grietas queda"}


def _each(paper: Paper) -> list[Offered]:
    return [offered for pad in paper.pads for offered in pad.offered]


@pytest.mark.parametrize("name", ["demo", *COURTS])
def test_nothing_is_both_put_right_and_left(name: str):
    """For every option that has a price: an item and a defect that is left never speak of the same thing."""
    options = _each(Paper.of(request_of(name)))
    assert options
    for offered in options:
        put_right = {
            d for says in offered.price.includes for d in MENDS.get(says.id.removeprefix("cost.includes-"), ())
        }
        left = {says.id.split(".")[1] for says in offered.option.does_not_mend}
        assert not put_right & left, (offered.option.id, put_right & left)


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("name", ["demo", *COURTS])
def test_cracks_that_are_filled_are_not_said_to_stay(name: str, language: Language):
    """Where a price includes work on cracks, no sentence beside it says that cracks stay as they are."""
    paper = Paper.of(request_of(name, language=language))
    for offered in _each(paper):
        about = [text for text in map(paper.render, offered.price.includes) if re.search(CRACKS[language], text)]
        assert all(re.search(WHICH[language], text) for text in about), about
        said = leaves(paper, offered.option).replace(CAUSE[language], "")
        assert not (about and re.search(STAY[language], said)), (about, said)


def test_filled_cracks_meet_cracks_that_are_left():
    """The two statements do stand side by side, so that the tests above have something to tell apart."""
    holding = next(o for o in _each(Paper.of(request_of("cracked"))) if o.option.id == "hold")
    included = {says.id for says in holding.price.includes}
    assert "cost.includes-season-filler" in included
    assert "defects.cracks.leaves" in {says.id for says in holding.option.does_not_mend}


@pytest.mark.parametrize("language", ["en", "es"])
def test_every_item_about_cracks_says_which(language: Language):
    """No price of any option may include bare "crack filler"."""
    for id, entry in texts().items():
        if id.startswith("cost.includes-") and re.search(CRACKS[language], entry[language]):
            assert re.search(WHICH[language], entry[language]), id


def test_the_items_that_mend_are_items_of_the_trade():
    """None of the table above is left over."""
    assert {f"cost.includes-{item}" for item in MENDS} <= set(texts())
    defects = {d for ds in MENDS.values() for d in ds}
    assert all(f"defects.{defect}.leaves" in texts() for defect in defects)

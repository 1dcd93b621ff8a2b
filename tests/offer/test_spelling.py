"""English is spelled as the customers spell it, in the United States; code and its documents are not read here."""

from __future__ import annotations

import re
from pathlib import Path

from courtwright.trade.papers import house
from courtwright.trade.words import texts

OWNERS_PAGE = Path(__file__).resolve().parents[2] / "web/src/strings/owner.ts"
#: Parts of words that are spelled otherwise there. From memory.
BRITISH = re.compile(
    r"colour|labour|vapour|honour|favour|neighbour|harbour|odour|mould|(?<!\w)grey|kerb|tyre|litre|metre|tonne"
    r"|levell|ravell|trowell|travell|cancelled|cancelling|labell|(?<!de)fibre|licence|judgement|programme"
    r"|(?:ulver|rubber|recogn|organ|neutral|stabil|minim|real|util)is(?:e|ing|ation)|plough|catalogue",
    re.IGNORECASE,
)
#: Names that files and commands have: they are typed as they are.
NAMES = re.compile(r"\{[^}]*\}|\b\w+(?:-\w+)*_\w+|pulverise-and-pave")


def test_the_law_finds_what_it_is_for():
    """A British word is found within a word, and an American one is not; names are left alone."""
    assert all(map(BRITISH.search, ("New colour", "leveller, levelled", "Pulverised", "a square metre", "Licence")))
    assert not any(map(BRITISH.search, ("color", "leveled", "parameter", "advise", "license", "filled", "pulverized")))
    assert not BRITISH.search(NAMES.sub("", "{litres:number} l, pulverise-and-pave, labour_share"))


def test_no_english_sentence_is_spelled_otherwise():
    """Of all that a paper may say."""
    found = {id: entry["en"] for id, entry in texts().items() if BRITISH.search(NAMES.sub("", entry["en"]))}
    assert not found


def test_nor_is_the_owners_page_or_the_stand_in_for_a_name():
    """The strings of the page that the link opens; what stands on the paper until the company is told."""
    strings = re.findall(r'"((?:[^"\\]|\\.)*)"', OWNERS_PAGE.read_text(encoding="utf-8"))
    assert len(strings) > 50
    assert not [string for string in strings if BRITISH.search(NAMES.sub("", string))]
    assert not any(BRITISH.search(line) for line in (house().name, house().licence, house().address, house().phone))

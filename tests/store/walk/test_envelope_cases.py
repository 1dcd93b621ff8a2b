"""Envelopes that the client's tests read and write too: ``spec/cases/envelopes.json``."""

from __future__ import annotations

import datetime as dt
import json
from typing import Any

import pytest

from courtwright.errors import EnvelopeError
from courtwright.store.walk.envelope import Envelope, pack, unpack_all
from tests.places import ROOT

CASES: dict[str, Any] = json.loads((ROOT / "spec" / "cases" / "envelopes.json").read_text(encoding="utf-8"))
EPOCH = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)


def _envelope(case: dict[str, Any]) -> Envelope:
    told_at = EPOCH + dt.timedelta(milliseconds=case["told_at_ms"])
    return Envelope(case["device"], told_at, bytes.fromhex(case["update"]))


@pytest.mark.parametrize("case", CASES["packed"], ids=lambda case: f"{case['told_at_ms']}")
def test_an_envelope_has_these_bytes(case: dict[str, Any]):
    """Whatever the device and its clock."""
    assert pack(_envelope(case)).hex() == case["envelope"]
    assert unpack_all(bytes.fromhex(case["envelope"])) == (_envelope(case),)


def test_the_first_case_is_the_one_that_is_told_in_words():
    """The bytes before the hash stand in the page on the document of a walk, and in no code of ours."""
    head = "63772d77616c6b01" + "00" * 15 + "07" + "00" * 7 + "01" + "00000002"
    assert CASES["packed"][0]["envelope"].startswith(head)


def test_envelopes_stand_one_after_the_other():
    """As in one request, or a saved walk."""
    together = CASES["together"]
    assert unpack_all(bytes.fromhex(together["bytes"])) == tuple(_envelope(CASES["packed"][i]) for i in together["of"])


@pytest.mark.parametrize("case", CASES["damaged"], ids=lambda case: f"{case['because']} {len(case['bytes'])}")
def test_what_is_damaged_is_refused(case: dict[str, Any]):
    """For the reason told."""
    with pytest.raises(EnvelopeError) as told:
        unpack_all(bytes.fromhex(case["bytes"]))
    assert told.value.problem.id == f"store.{case['because']}"

"""An offer from a worker is what the command writes, with all that it was made of."""

from __future__ import annotations

import dataclasses
import datetime as dt
import functools
import hashlib
import json
from collections.abc import Mapping
from importlib.metadata import version
from pathlib import Path
from typing import Any

import pytest

from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.answer import run as answer
from courtwright.desk.kinds.asked import AnswerAsked, OfferAsked, Site, payload
from courtwright.desk.kinds.offer import CHOICES, ESTIMATE, FOLDER, INPUTS, run
from courtwright.desk.workers import WorkerPool
from courtwright.errors import InputError
from courtwright.job.estimate import estimate
from courtwright.job.papers import offer_request
from courtwright.offer import write_offer
from courtwright.site import read_photos, read_site
from courtwright.trade.digest import trade_digest
from tests.desk.kinds.demo import BARE, DEMO, demo, untold, zipped
from tests.offer.specimens import logo

ASK = OfferAsked("2026-05-01", start="2026-06-22")
WHY = "He knows the mayor"
WHO = {"name": "Ada Court Works", "licence": "CW-17", "address": "3 Mill Lane", "phone": "555 0117"}


def parts(ask: OfferAsked, site: Site) -> dict[str, bytes]:
    return parcel.unpack(run(payload(ask, site), untold))


@functools.cache
def usual() -> Mapping[str, bytes]:
    """Return the parts of the demo site's usual offer, made once: the same call has the same answer."""
    return parts(ASK, demo())


# --- laws ---------------------------------------------------------------------------------------


def test_the_files_are_those_that_the_command_writes(tmp_path: Path):
    """The demo site, through a worker and to a folder: the same names, and the same bytes where no time is in them."""
    told: list[tuple[int, int]] = []
    with WorkerPool(1, 60.0) as pool:
        made = parcel.unpack(pool.run("offer", payload(ASK, demo()), lambda *step: told.append(step)))
    record = read_site(DEMO)
    request = offer_request(
        estimate(record),
        issued_on=dt.date(2026, 5, 1),
        start=dt.date(2026, 6, 22),
        budget=False,
        language="en",
        photos=read_photos(DEMO, record.photos),
    )
    written = {FOLDER + path.name: path.read_bytes() for path in write_offer(request, tmp_path / "offer")}
    assert {name for name in made if name.startswith(FOLDER)} == written.keys()
    same = [name for name, content in written.items() if made[name] == content]
    assert {f"{FOLDER}{name}" for name in ("offer.json", "plan-upper.svg", "plan-lower.svg", "schedule.ics")} <= set(
        same
    )
    assert b"%PDF" in made[f"{FOLDER}offer.pdf"][:8]
    assert told == sorted(told)
    assert told[-1] == (7, 7)  # three steps for each of two pads, and the writing


def test_what_it_was_made_of_is_kept_with_it():
    """Version, the trade's data, the question, and every file by its SHA-256, alike from files and from a zip."""
    site = {**BARE, "notes.txt": b"gate code on the post"}
    inputs = json.loads(parts(ASK, site)[INPUTS])
    assert inputs["version"] == version("courtwright")
    assert inputs["trade"] == trade_digest()
    assert {**inputs["asked"], "hashes": None} == dataclasses.asdict(ASK)
    assert inputs["files"] == {name: hashlib.sha256(content).hexdigest() for name, content in site.items()}
    zipped_in_a_folder = zipped({f"walk/{name}": content for name, content in site.items()})
    assert json.loads(parts(ASK, zipped_in_a_folder)[INPUTS]) == inputs


def test_a_file_that_is_handed_in_part_is_named_by_the_hash_it_was_handed_with():
    """A photo whose pixels are not needed stays the file that it is."""
    ask = dataclasses.replace(ASK, hashes={"notes.txt": "0" * 64})
    inputs = json.loads(parts(ask, {**BARE, "notes.txt": b"gate"})[INPUTS])
    assert inputs["files"]["notes.txt"] == "0" * 64
    assert inputs["files"]["site.toml"] == hashlib.sha256(BARE["site.toml"]).hexdigest()


def test_the_estimate_is_the_answer_of_price():
    """For the estimator's eyes; the customer's files hold nothing of it."""
    made = parts(ASK, BARE)
    assert made[ESTIMATE] == answer(payload(AnswerAsked("price"), BARE), untold)
    assert b"p90" in made[ESTIMATE]
    assert b"p90" not in made[f"{FOLDER}offer.json"]


def test_the_contractor_may_be_handed_in():
    """Without one it is that of the trade's data."""
    offered = json.loads(parts(dataclasses.replace(ASK, contractor=WHO), BARE)[f"{FOLDER}offer.json"])
    assert offered["contractor"] == WHO
    assert json.loads(parts(ASK, BARE)[f"{FOLDER}offer.json"])["contractor"]["name"] != WHO["name"]


def test_the_contractors_own_texts_and_logo_reach_the_papers():
    """The texts in their blocks; the logo beside the papers, and its hash with all that they were made of."""
    own = {"warranty": {"en": "Two years on all we lay."}, "insurance": {"es": "Con seguro."}}
    ask = dataclasses.replace(ASK, contractor=WHO, terms=own)
    handed = parcel.pack({**parcel.unpack(payload(ask, demo())), "logo.png": logo()})
    made = parcel.unpack(run(handed, untold))
    blocks = {block["heading"]: block["typed"] for block in json.loads(made[f"{FOLDER}offer.json"])["terms"]}
    assert (blocks["Warranty"], blocks["Insurance"]) == ([["Two years on all we lay."]], [["Con seguro."]])
    assert blocks["Payment"] == blocks["Cautions"] == []
    assert made["logo.png"] == logo()
    inputs = json.loads(made[INPUTS])
    assert inputs["logo"] == hashlib.sha256(logo()).hexdigest()
    assert "logo.png" not in inputs["files"]
    assert inputs["asked"]["terms"] == own


def test_a_file_of_the_site_may_be_called_as_the_logo_is():
    """It is a file of the site, and no logo."""
    made = parts(ASK, {**BARE, "logo.png": b"no picture"})
    inputs = json.loads(made[INPUTS])
    assert inputs["logo"] is None
    assert "logo.png" in inputs["files"]
    assert "logo.png" not in made


def test_a_budget_letter_in_spanish_without_a_start():
    """No calendar, ranges instead of prices."""
    made = parts(OfferAsked("2026-05-01", budget=True, language="es"), BARE)
    letter = json.loads(made[f"{FOLDER}offer.json"])
    assert (letter["kind"], letter["language"], letter["starts_on"]) == ("budget letter", "es", None)
    assert f"{FOLDER}schedule.ics" not in made


def without(pad: dict[str, Any], kept: list[str]) -> dict[str, dict[str, str]]:
    """Return a reason for each option of a pad that is not kept."""
    return {pad["id"]: {option["id"]: WHY for option in pad["options"] if option["id"] not in kept}}


def test_only_the_options_that_were_chosen_are_shown():
    """On the pad that is named, those; on another, those that a paper shows; the rest is told in a line each."""
    site = demo()
    every = json.loads(usual()[f"{FOLDER}offer.json"])["pads"]
    first, second = every
    chosen = [option["id"] for option in first["options"]][1:3]
    ask = dataclasses.replace(ASK, options={first["id"]: chosen}, reasons=without(first, chosen))
    shown = json.loads(parts(ask, site)[f"{FOLDER}offer.json"])["pads"]
    assert {option["id"] for option in shown[0]["options"]} == set(chosen)
    assert first["options"][0]["id"] in {option["id"] for option in shown[0]["not_offered"]}
    assert shown[1] == second
    prices = {option["id"]: option["firm_price"] for option in first["options"]}
    assert all(option["firm_price"] == prices[option["id"]] for option in shown[0]["options"])


def test_what_is_written_and_priced_by_hand_is_offered_and_why_is_not_told():
    """Texts stand in the data, the price is the one that was set; its reason is kept with what was asked alone."""
    site = demo()
    pad = json.loads(usual()[f"{FOLDER}offer.json"])["pads"][0]
    option, other = pad["options"][0]["id"], pad["options"][1]
    texts = {
        "greeting": "Good day",
        "note": " ",
        "closing": "Yours",
        "options": {pad["id"]: {option: "The better one"}},
    }
    ask = dataclasses.replace(ASK, texts=texts, prices={pad["id"]: {option: {"firm_price": 12345, "because": WHY}}})
    made = parts(ask, site)
    says = json.loads(made[f"{FOLDER}offer.json"])
    assert (says["greeting"], says["closing"], "note" in says) == ("Good day", "Yours", False)
    shown = says["pads"][0]["options"]
    assert (shown[0]["id"], shown[0]["firm_price"], shown[0]["note"]) == (option, 12345, "The better one")
    assert shown[1] == other
    assert [name for name, content in made.items() if WHY.encode() in content] == [INPUTS]
    # The estimate and what may be chosen still tell the price that was reckoned.
    choices = json.loads(made[CHOICES])["pads"][0]["options"]
    reckoned = pad["options"][0]["firm_price"]
    assert next(one for one in choices if one["id"] == option)["firm_price"] == reckoned != 12345
    assert made[ESTIMATE] == usual()[ESTIMATE]


def test_what_may_be_chosen_tells_what_a_paper_shows_and_what_is_ruled_out():
    """Each option once; those that a paper shows are marked, one that is ruled out has a reason and no price."""
    made = usual()
    says, choices = json.loads(made[f"{FOLDER}offer.json"]), json.loads(made[CHOICES])
    for pad, told in zip(says["pads"], choices["pads"], strict=True):
        assert {o["id"] for o in told["options"] if o["is_shown"]} == {o["id"] for o in pad["options"]}
        assert len(told["options"]) == len(pad["options"]) + len(pad["not_offered"])
    ruled_out = [o for told in choices["pads"] for o in told["options"] if o["state"] == "ruled out"]
    assert ruled_out
    assert all(o["because"] and o["firm_price"] is None for o in ruled_out)


# --- refusals -----------------------------------------------------------------------------------


def test_a_choice_without_a_reason_and_a_price_that_nobody_can_pay_are_refused():
    """Each by its own sentence."""
    site = demo()
    pad = json.loads(usual()[f"{FOLDER}offer.json"])["pads"][0]
    kept, held = [pad["options"][0]["id"]], pad["options"][1]["id"]
    price = {pad["id"]: {held: {"firm_price": 12345, "because": WHY}}}
    chosen = {"options": {pad["id"]: kept}, "reasons": without(pad, kept)}
    for values, words in (
        ({"options": {pad["id"]: kept}}, "held-without-reason"),
        ({**chosen, "prices": price}, "price-not-offered"),
        ({"budget": True, "prices": price}, "price-in-letter"),
    ):
        with pytest.raises(InputError, match=words):
            parts(dataclasses.replace(ASK, **values), site)


@pytest.mark.parametrize("options", [{"a": ["no-such-option"]}, {"nowhere": ["repair"]}])
def test_an_option_without_a_price_cannot_be_shown(options: dict[str, list[str]]):
    """It is named, with its pad."""
    with pytest.raises(InputError, match="option-without-price"):
        run(payload(dataclasses.replace(ASK, options=options), BARE), untold)


def test_no_site_no_offer():
    """Nothing is left to compute."""
    with pytest.raises(InputError):
        run(payload(ASK, {"notes.txt": b"x"}), untold)

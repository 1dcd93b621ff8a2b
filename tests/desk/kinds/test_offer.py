"""An offer from a worker is what the command writes, with all that it was made of."""

from __future__ import annotations

import dataclasses
import datetime as dt
import hashlib
import json
from importlib.metadata import version
from pathlib import Path

import pytest

from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.answer import run as answer
from courtwright.desk.kinds.asked import AnswerAsked, OfferAsked, Site, payload
from courtwright.desk.kinds.offer import ESTIMATE, FOLDER, INPUTS, run
from courtwright.desk.workers import WorkerPool
from courtwright.errors import InputError
from courtwright.job.estimate import estimate
from courtwright.job.papers import offer_request
from courtwright.offer import write_offer
from courtwright.site import read_photos, read_site
from courtwright.trade.digest import trade_digest
from tests.desk.kinds.demo import BARE, DEMO, demo, untold, zipped

ASK = OfferAsked("2026-05-01", start="2026-06-22")
WHO = {"name": "Ada Court Works", "licence": "CW-17", "address": "3 Mill Lane", "phone": "555 0117"}


def parts(ask: OfferAsked, site: Site) -> dict[str, bytes]:
    return parcel.unpack(run(payload(ask, site), untold))


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


def test_a_budget_letter_in_spanish_without_a_start():
    """No calendar, ranges instead of prices."""
    made = parts(OfferAsked("2026-05-01", budget=True, language="es"), BARE)
    letter = json.loads(made[f"{FOLDER}offer.json"])
    assert (letter["kind"], letter["language"], letter["starts_on"]) == ("budget letter", "es", None)
    assert f"{FOLDER}schedule.ics" not in made


def test_only_the_options_that_were_chosen_are_shown():
    """On the pad that is named, those; on another, those that a paper shows; the rest is told in a line each."""
    site = demo()
    every = json.loads(parts(ASK, site)[f"{FOLDER}offer.json"])["pads"]
    first, second = every
    chosen = [option["id"] for option in first["options"]][1:3]
    ask = dataclasses.replace(ASK, options={first["id"]: chosen})
    shown = json.loads(parts(ask, site)[f"{FOLDER}offer.json"])["pads"]
    assert {option["id"] for option in shown[0]["options"]} == set(chosen)
    assert first["options"][0]["id"] in {option["id"] for option in shown[0]["not_offered"]}
    assert shown[1] == second
    prices = {option["id"]: option["firm_price"] for option in first["options"]}
    assert all(option["firm_price"] == prices[option["id"]] for option in shown[0]["options"])


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize("options", [{"a": ["no-such-option"]}, {"nowhere": ["repair"]}])
def test_an_option_without_a_price_cannot_be_shown(options: dict[str, list[str]]):
    """It is named, with its pad."""
    with pytest.raises(InputError, match="option-without-price"):
        run(payload(dataclasses.replace(ASK, options=options), BARE), untold)


def test_no_site_no_offer():
    """Nothing is left to compute."""
    with pytest.raises(InputError):
        run(payload(ASK, {"notes.txt": b"x"}), untold)

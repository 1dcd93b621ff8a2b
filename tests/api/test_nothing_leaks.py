"""Everything that a customer can reach, of two sites, read for what only the company may know.

Cost, margin, percentile, chance of loss: not by name and not by number, in no page, answer, file, picture or script.
"""

from __future__ import annotations

import functools
import io
import json
import re
import sqlite3
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import openpyxl
import pypdf
import pytest
from fastapi.testclient import TestClient
from PIL import Image

from courtwright.api.app import create_app
from courtwright.api.built import BUILT
from courtwright.desk.kinds import parcel
from courtwright.desk.kinds.asked import OfferAsked, payload
from courtwright.desk.kinds.offer import run
from courtwright.desk.offers import links, offers, papers
from courtwright.desk.office import Office
from courtwright.store.rows.offers import Offer
from tests.desk.jobs import ESTIMATOR
from tests.desk.kinds.demo import demo, untold
from tests.desk.offered import ISSUED, WHO, a_draft, chosen
from tests.desk.test_customers import KEYS, with_sheet
from tests.offer.specimens import logo
from tests.offer.test_customer import FORBIDDEN
from tests.site.sites import collection, feature

#: One pad of a club, told in metres: nothing of the demo is in it.
CLUB: Mapping[str, bytes] = {
    "site.toml": b"""
[job]
name = "Club de la vega"
units = "metric"
customer = "club"
[site]
walked_on = 2026-04-11
[[pad]]
id = "pista"
surface = "asphalt"
built = 2001
thickness = "70 mm"
outline = [[0,0],[18,0],[18,36],[0,36]]
marks = "marks.geojson"
[[pad.court]]
sport = "tennis"
centre = [9,18]
bearing_deg = 0
""",
    "marks.geojson": collection(
        feature("crack", [[2, 3], [9, 8], [16, 9]], pad="pista", width="7 mm"),
        feature("crack", [[3, 30], [15, 27]], pad="pista", width="5 mm"),
    ).encode(),
}
SITES = {"demo": demo, "club": lambda: CLUB}
#: What is asked for: of which site, in which language, as a letter or not.
ASKED = (("demo", "en", False), ("demo", "es", True), ("club", "es", False))
#: Stands in every reason that is given by hand, and nowhere else.
REASON = "Quetzalcoatlus owes us"
_REASON = re.compile("Quetzalcoatlus|quetzalcoatlus")
GREETING = "Good day to the club"
OWN = "Half when the crew comes"
_NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?")
#: Below it an amount may stand on a paper for another reason: a width, a year, a page.
_TELLING = 1000


@functools.cache
def made(site: str, language: str, budget: bool) -> bytes:
    """Return what the kind of work makes of a site, with all that is set by hand; once for all tests."""
    ask = OfferAsked(
        ISSUED.isoformat(),
        language=language,
        budget=budget,
        contractor={"name": "Ada Courts"},
        terms={"payment": {"en": OWN}},
        **by_hand(site, budget),
    )
    return run(parcel.pack({**parcel.unpack(payload(ask, SITES[site]())), "logo.png": logo()}), untold)


@functools.cache
def by_hand(site: str, budget: bool) -> dict[str, Any]:
    """Return an option held back and a price set on the first pad, each with its reason; and texts."""
    plain = parcel.unpack(run(payload(OfferAsked(ISSUED.isoformat()), SITES[site]()), untold))
    pad = json.loads(plain["choices.json"])["pads"][0]
    shown = [option for option in pad["options"] if option["is_shown"]]
    held, kept = shown[-1]["id"], [option["id"] for option in shown[:-1]]
    assert kept
    price = {"firm_price": round(shown[0]["firm_price"]) + 1, "because": f"{REASON} price"}
    return {
        "options": {pad["id"]: kept},
        "reasons": {pad["id"]: {held: f"{REASON} choice"}},
        "prices": None if budget else {pad["id"]: {kept[0]: price}},
        "texts": {"greeting": GREETING, "options": {pad["id"]: {kept[0]: "Beside it"}}},
    }


def written(office: Office, site: str, language: str, budget: bool, draft: Offer | None = None) -> Offer:
    """Return an offer with the papers of a site, sent."""
    draft = draft or a_draft(office, language=language, budget=budget, **by_hand(site, budget))
    inputs, answers = parcel.pack(SITES[site]()), made(site, language, budget)
    draft = papers.attach_papers(office, ESTIMATOR, draft.id, draft.version, inputs, answers, 7)
    return offers.send_offer(office, ESTIMATOR, draft.id, draft.version)


# --- what is hidden -----------------------------------------------------------------------------


def amounts(value: Any) -> Iterator[float]:
    """Yield every number of a part of an answer."""
    if isinstance(value, dict):
        for part in value.values():
            yield from amounts(part)
    elif isinstance(value, list):
        for part in value:
            yield from amounts(part)
    elif isinstance(value, int | float) and not isinstance(value, bool):
        yield float(value)


def hidden(site: str, language: str, budget: bool) -> set[str]:
    """Return every figure of how prices were made, as it could be written; but what the offer says for itself."""
    files = parcel.unpack(made(site, language, budget))
    estimate, says = json.loads(files["estimate.json"]), json.loads(files["offer/offer.json"])
    found, told = set[str](), set(amounts(says))
    for pad in estimate["pads"]:
        for option in pad["options"]:
            parts = ("price", "firm_price", "unit_rate_price", "build_up_price", "build_up", "per_court_year")
            for amount in amounts([option[part] for part in parts]):
                if amount >= _TELLING and amount not in told:
                    found |= {f"{amount:.2f}", f"{amount:,.2f}", repr(amount)}
                    # Rounded to a whole it may be a firm price, or an end of a range, by chance.
                    if round(amount) not in told:
                        found |= {f"{amount:.0f}", f"{amount:,.0f}"}
    return found


def assert_silent(name: str, text: str, figures: set[str]) -> None:
    """Fail where a text tells how a price was made, by a word or by a figure."""
    for words in (KEYS, FORBIDDEN, _REASON):
        assert not words.search(text), (name, words.search(text))
    assert not figures & set(_NUMBER.findall(text)), (name, figures & set(_NUMBER.findall(text)))


def texts_of(name: str, content: bytes) -> Iterator[str]:
    """Yield all that can be read in a file: its words, its cells, its keys, what hides beside its pictures."""
    match name.rpartition(".")[2]:
        case "pdf":
            pdf = pypdf.PdfReader(io.BytesIO(content))
            yield from (page.extract_text() for page in pdf.pages)
            beside = pdf.xmp_metadata.stream.get_data().decode() if pdf.xmp_metadata else ""
            # Letters drawn at random can spell what is searched for.
            yield str(pdf.metadata) + re.sub(r"<xmpMM:(Instance|Document)ID>[^<]*<", "<", beside)
            assert not pdf.attachments
            for page in pdf.pages:
                for picture in page.images:
                    yield from _beside_pixels(picture.data)
        case "xlsx":
            book = openpyxl.load_workbook(io.BytesIO(content))
            for sheet in book:
                assert sheet.sheet_state == "visible"
                yield from (f"{cell.value} {cell.comment or ''}" for row in sheet.iter_rows() for cell in row)
            yield str(vars(book.properties))
        case "gpkg":
            base = sqlite3.connect(":memory:")
            base.deserialize(content)
            # A shape's bytes hold no text; written as digits they would look like amounts.
            lines = (re.sub(r"X'[0-9A-F]*'", "", line) for line in base.iterdump())
            yield from (line for line in lines if "gpkg_spatial_ref_sys" not in line)
            base.close()
        case "jpg" | "png":
            yield from _beside_pixels(content)
        case _:
            yield content.decode()


def _beside_pixels(content: bytes) -> Iterator[str]:
    with Image.open(io.BytesIO(content)) as picture:
        assert len(picture.getexif()) == 0
        yield str({name: value for name, value in picture.info.items() if name not in ("jfif", "icc_profile")})


# --- laws ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(("site", "language", "budget"), ASKED)
def test_no_file_of_an_offer_tells_how_its_prices_were_made(site: str, language: str, budget: bool) -> None:
    """Pages, pictures and what hides in them, data, cells, drawings, tables of places."""
    figures = hidden(site, language, budget)
    assert len(figures) > 20
    files = parcel.unpack(made(site, language, budget))
    inside = ("choices.json", "estimate.json", "inputs.json")
    given = {name: content for name, content in files.items() if name not in inside}
    kinds = {name.rpartition(".")[2] for name in given}
    assert {"pdf", "json", "xlsx", "svg", "gpkg", "dxf"} <= kinds
    for name, content in given.items():
        for text in texts_of(name, content):
            assert_silent(name, text, figures)
    assert GREETING in files["offer/offer.json"].decode()
    assert OWN in files["offer/offer.json"].decode()
    # What is searched for is found where it stands.
    assert _REASON.search(files["inputs.json"].decode())
    estimate = files["estimate.json"].decode()
    assert KEYS.search(estimate)
    assert figures & set(_NUMBER.findall(estimate))


@pytest.mark.parametrize(("site", "language", "budget"), ASKED)
def test_no_answer_to_a_customer_tells_how_a_price_was_made(
    office: Office, site: str, language: str, budget: bool
) -> None:
    """Every route of a customer, before and after each thing that a customer or the office does."""
    figures = hidden(site, language, budget)
    offer = written(office, site, language, budget)
    with TestClient(create_app(office)) as browser:
        visit = Visit(browser, office, offer, figures)
        visit.look()
        visit.post("questions", {"text": "When?"}, 201)
        visit.post("accept", {"options": {}, "name": "", "consent": ""})
        (asked,) = links.list_questions(office, ESTIMATOR, offer.id)
        links.answer_question(office, ESTIMATOR, offer.id, asked.id, asked.version, "In June.")
        visit.look()
        if budget:
            visit.post("accept", {"options": {}, "name": WHO, "consent": "x"}, 409)
            visit.post("decline", {"because": "later"}, 200)
            visit.look()
            return
        # A revision takes its place: the old link reads the old offer.
        revision = written(office, site, language, budget, offers.revise_offer(office, ESTIMATOR, offer.id))
        visit.look()
        visit = Visit(browser, office, revision, figures)
        given = {"options": chosen(revision), "name": WHO, "consent": visit.look()["consent"]}
        visit.post("accept", given, 200)
        with_sheet(office, revision)
        assert "accepted.pdf" in visit.look()["files"]
        visit.post("decline", {"because": ""}, 409)


class Visit:
    """A customer who came by a new link, and reads everything there is."""

    def __init__(self, browser: TestClient, office: Office, offer: Offer, figures: set[str]) -> None:
        self.browser, self.figures = browser, figures
        token, _ = links.make_link(office, ESTIMATOR, offer.id, "accept")
        entered = browser.post("/api/customer/session", json={"token": token})
        assert entered.status_code == 200
        self.word = {"X-CSRF-Token": entered.json()["csrf_token"]}
        self.office_files = papers.paper_names(office, ESTIMATOR, offer.id)

    def look(self) -> dict[str, Any]:
        """Read every answer to reading, and every file by any name that the office knows."""
        app: Any = self.browser.app
        paths = [
            path for path, ways in app.openapi()["paths"].items() if path.startswith("/api/customer") and "get" in ways
        ]
        known = {"offer", "file", "logo", "session"}
        assert {f"/api/customer/{name}" for name in known} <= set(paths)
        for path in paths:
            if path not in ("/api/customer/file", "/api/customer/session"):
                self._read(path, self.browser.get(path))
        shown = self.browser.get("/api/customer/offer").json()
        for name in {*shown["files"], *self.office_files, "choices.json", "estimate.json", "inputs.json"}:
            answer = self.browser.get("/api/customer/file", params={"name": name})
            assert (answer.status_code == 200) == (name in shown["files"]), name
            if answer.status_code == 200:
                for text in texts_of(name, answer.content):
                    assert_silent(name, text, self.figures)
        return shown

    def post(self, what: str, body: dict[str, Any], status: int = 0) -> None:
        """Do something, and read what is answered, be it a refusal."""
        answer = self.browser.post(f"/api/customer/{what}", json=body, headers=self.word)
        assert status in (0, answer.status_code), answer.text
        self._read(what, answer)

    def _read(self, name: str, answer: Any) -> None:
        # How many bytes came is no amount of money, and may look like one.
        heads = " ".join(f"{key}: {value}" for key, value in answer.headers.items() if key != "content-length")
        told = answer.text if "json" in answer.headers["content-type"] else ""
        assert_silent(name, f"{told} {heads}", self.figures)
        if answer.headers["content-type"] == "image/png":
            for text in texts_of(f"{name}.png", answer.content):
                assert_silent(name, text, self.figures)


# --- the page and its script --------------------------------------------------------------------

#: Of the estimator's screens, which the owner's page must not load.
SCREENS = re.compile(
    r"estimate\.json|build_up|unit_rate_price|per_court_year|percentile|percentil|chance of loss|\bp[1589]0\b"
    r"|margen|overhead|/api/(?:offers|jobs|walks|tasks|company|people)|serviceWorker|y-indexeddb|ol-layer"
)
_LOADED = re.compile(r"""["'(](?:\./|/assets/|\.\./assets/)?([\w.-]+\.(?:m?js|css))["')]""")


def loaded(page: str) -> dict[str, str]:
    """Return all that a page of the built client can load, however late, by name."""
    waiting, found = [page], dict[str, str]()
    while waiting:
        name = waiting.pop()
        path = BUILT / name if name == page else BUILT / "assets" / name
        if name in found or not path.is_file():
            continue
        found[name] = path.read_text(encoding="utf-8")
        waiting += _LOADED.findall(found[name])
    return found


@pytest.mark.skipif(not Path(BUILT, "offer.html").is_file(), reason="the client is not built here")
def test_the_owners_page_loads_nothing_of_the_estimators_screens() -> None:
    """Its script knows neither the fields of an estimate nor a route of the office; the office's script knows both."""
    mine, theirs = loaded("offer.html"), loaded("index.html")
    assert any(name.endswith(".js") for name in mine)
    for name, text in mine.items():
        assert not SCREENS.search(text), (name, SCREENS.search(text))
    assert any(SCREENS.search(text) for text in theirs.values())

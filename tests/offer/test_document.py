"""The pages: tagged, in the right language, with every part in its place, the same each time."""

from __future__ import annotations

import datetime as dt
import io
import re
from dataclasses import replace
from pathlib import Path

import pypdf
import pypdfium2
import pytest
from PIL import Image

from courtwright.offer import OfferRequest, OfferTexts, offer_files
from courtwright.offer.paper import Paper
from courtwright.offer.sections.terms import terms
from courtwright.says import say
from courtwright.site.record import Job
from courtwright.trade.papers import SUBJECTS, OwnText
from tests.offer import specimens
from tests.offer.papers import MAKERS, files_of, pages_of, pdf_of, request_of

GOLDEN = Path(__file__).parents[1] / "golden" / "offer"


@pytest.mark.reference("iso-14289-1")
@pytest.mark.parametrize("name", MAKERS)
def test_every_paper_is_tagged_and_says_so(name: str):
    """PDF/UA-1: marked, a structure tree, a language, a title that is shown, and the identification in its metadata."""
    root = pdf_of(name).trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/StructTreeRoot"]["/K"]
    assert str(root["/Lang"])[:2] == request_of(name).language
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    metadata = root["/Metadata"].get_data().decode()
    assert re.search(r"pdfuaid:part[^0-9]*1", metadata)
    assert "dc:title" in metadata


@pytest.mark.parametrize("name", ["two-pads", "budget-es"])
def test_every_figure_has_words_for_who_cannot_see_it(name: str):
    """Each figure of the structure tree carries an alternative text; table heads are told apart from cells."""
    figures, heads = [], 0
    for element in _elements(pdf_of(name).trailer["/Root"]["/StructTreeRoot"]):
        if element.get("/S") == "/Figure":
            figures.append(element.get("/Alt"))
        heads += element.get("/S") == "/TH"
    assert len(figures) >= 3
    assert all(figures)
    assert heads >= 5


def _elements(node, seen=None):
    seen = set() if seen is None else seen
    node = node.get_object()
    if isinstance(node, pypdf.generic.DictionaryObject):
        if id(node) in seen:
            return
        seen.add(id(node))
        yield node
        if "/K" in node:
            yield from _elements(node["/K"], seen)
    elif isinstance(node, pypdf.generic.ArrayObject):
        for item in node:
            yield from _elements(item, seen)


@pytest.mark.parametrize("name", MAKERS)
def test_only_the_houses_typeface_is_used_and_it_is_in_the_file(name: str):
    """Whatever is typed, nothing is set in another typeface and nothing is left to the reader's machine."""
    fonts = {}
    for page in pdf_of(name).pages:
        _fonts_in(page["/Resources"], fonts)
    assert fonts
    for base, descriptor in fonts.items():
        assert "AtkinsonHyperlegible" in base
        assert any(key in descriptor for key in ("/FontFile", "/FontFile2", "/FontFile3"))


def _fonts_in(resources, fonts):
    for font in resources.get("/Font", {}).values():
        found = font.get_object()
        for inner in found.get("/DescendantFonts", [found]):
            fonts[str(found["/BaseFont"])] = inner.get_object()["/FontDescriptor"].get_object()
    for form in resources.get("/XObject", {}).values():
        if "/Resources" in form.get_object():
            _fonts_in(form.get_object()["/Resources"], fonts)


@pytest.mark.parametrize("name", ["two-pads", "with-start", "two-pads-es-metric"])
def test_the_same_request_gives_the_same_bytes(name: str):
    """No clock and no chance: every file of an offer is the same when it is written again."""
    again = offer_files(MAKERS[name]())
    assert {file: again[file] == content for file, content in files_of(name).items()} == dict.fromkeys(again, True)


@pytest.mark.parametrize(("name", "size"), [("two-pads", (612, 792)), ("two-pads-es-metric", (595, 842))])
def test_paper_follows_the_units(name: str, size: tuple[int, int]):
    """US Letter with US units, A4 with metric; in points."""
    assert {(round(p.mediabox.width), round(p.mediabox.height)) for p in pdf_of(name).pages} == {size}


def test_the_parts_come_in_their_order():
    """Summary, plan, findings, options, prices, days, terms, acceptance."""
    said = " ".join(pages_of("with-start"))
    parts = (
        "What we found",
        "What we advise",
        "Prices, and how long",
        "What we do not know",
        "The plan",
        "What we found, in full",
        "The options, one under the other",
        "The firm prices do not include this work",
        "Crew days at the pace",
        "Warranty",
        "Not included",
        "What we need from you",
        "Cautions",
        "Signature",
    )
    places = [said.index(part) for part in parts]
    assert places == sorted(places)


@pytest.mark.parametrize("name", ["two-pads", "two-pads-es-metric", "budget", "budget-es", "own"])
def test_the_summary_is_one_page(name: str):
    """What is not known is still on the first page, and the plan begins the second."""
    unknown = "Lo que no sabemos" if name.endswith(("es", "metric")) else "What we do not know"
    plan = "El plano" if name.endswith(("es", "metric")) else "The plan"
    assert unknown in pages_of(name)[0]
    assert pages_of(name)[1].startswith(plan)


def test_a_small_job_ends_after_page_one_and_its_terms():
    """One pad with one option: no strips and no page of findings."""
    said = " ".join(pages_of("small"))
    assert len(pages_of("small")) <= 3
    assert "The plan" not in said
    assert "one under the other" not in said
    assert "Signature" in said


def test_a_small_paper_still_says_what_its_option_leaves():
    """Without strips the first page says it."""
    assert "What it does not mend: the cause of the cracks stays" in pages_of("small")[0]


def test_a_pad_of_which_nothing_is_known_says_so():
    """Nothing is claimed of it and nothing can be accepted."""
    said = " ".join(pages_of("nothing-known"))
    assert "Nothing is recorded of this pad but its outline." in said
    assert "Nothing can be accepted yet" in said
    assert "Warranty" not in said


@pytest.mark.parametrize("name", MAKERS)
def test_nothing_is_left_unsaid(name: str):
    """No text is missing, no placeholder is left, no page is empty."""
    for page in pages_of(name):
        assert len(page) > 60
        assert not re.search(r"[⟨⟩{}]|\bnan\b|None", page)


@pytest.mark.parametrize("name", MAKERS)
def test_no_ink_reaches_the_edge_of_the_paper(name: str):
    """Every page has a clear margin of 8 mm or more all round: nothing is cut off."""
    with pypdfium2.PdfDocument(files_of(name)["offer.pdf"]) as document:
        for page in document:
            picture = page.render(scale=0.5).to_pil().convert("L").point(lambda v: 255 if v < 200 else 0)
            clear = round(8 / 25.4 * 72 * 0.5)
            left, top, right, bottom = picture.getbbox()
            assert left >= clear
            assert top >= clear
            assert right <= picture.width - clear
            assert bottom <= picture.height - clear


def test_photos_leave_without_their_place():
    """The pictures in the file are upright and hold no EXIF; their captions give name and time."""
    pictures = [image for page in pdf_of("two-pads").pages for image in page.images]
    assert len(pictures) == 2
    for picture in pictures:
        with Image.open(io.BytesIO(picture.data)) as image:
            assert image.size == (600, 800)  # 800 by 600 turned upright
            assert not image.getexif()
    assert b"GPS" not in files_of("two-pads")["offer.pdf"]
    assert any("North corner; April 11, 2026, 09:30" in page for page in pages_of("two-pads"))


def test_days_of_work_are_dated_when_a_start_is_given():
    """A start on a Monday: the first step is dated, weekends are left out."""
    said = " ".join(pages_of("with-start"))
    assert "May 4 to 5" in said
    assert "Weather is not considered" in said
    assert not re.search(r"May (9|10)\b", said)  # a Saturday and a Sunday


def test_days_of_another_year_carry_it():
    """A start on December 21, 2026: what falls in 2027 says so, on every pad."""
    request = specimens.two_pads(start=dt.date(2026, 12, 21))
    pdf = pypdf.PdfReader(io.BytesIO(offer_files(request)["offer.pdf"]))
    said = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert "December 21 to 22" in said
    assert re.findall(r"January \d+(?!,| to \w+ \d+, 2027|\d)", said) == []
    assert re.search(r"January \d+, 2027", said)


@pytest.mark.parametrize(
    ("customer", "words"), [("home", "cap the deposit"), ("school", "retainage"), (None, "agreed before acceptance")]
)
def test_payment_follows_the_kind_of_customer(customer: str | None, words: str):
    """Each kind has its own terms, dated, and local law goes before them."""
    request = specimens.one_small_job()
    site = replace(request.site, job=Job(customer=customer))
    pdf = pypdf.PdfReader(io.BytesIO(offer_files(replace(request, site=site))["offer.pdf"]))
    said = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert words in said
    assert "where the law of the place sets others, the law holds" in said


def test_no_paper_says_that_a_licence_stands_on_it():
    """It stands at the head where there is one; where there is none, nothing speaks of it."""
    request = specimens.one_small_job()
    nobody = replace(request.contractor, licence="")
    said = read(replace(request, site=replace(request.site, job=Job(customer="home")), contractor=nobody))
    assert "cap the deposit" in said
    assert "license number" not in said
    assert "Licence" not in said


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("two-pads", "a nickel (the five-cent coin, 1.95 mm thick)"),
        ("two-pads-es-metric", "cinco centavos (1.95 mm de grueso)"),
    ],
)
def test_the_warranty_names_its_test_of_water_exactly(name: str, words: str):
    """The thickness of the coin, 1.95 mm, and not the sixteenth of an inch nearest to it (1.59 mm)."""
    warranty = next(page for page in pages_of(name) if words in page)
    assert "1/16 in deep" not in warranty


def test_a_pad_without_heights_says_so_on_page_one():
    """How the courts fall and where water stands is then not known, and is not passed over."""
    for name in MAKERS:
        request = request_of(name)
        bare = [pad.id for pad in request.ground.pads if pad.heights is None]
        words = "no se midieron alturas" if request.language == "es" else "no heights were measured"
        assert (words in pages_of(name)[0]) == bool(bare)


def test_what_nobody_can_know_before_an_opening_is_on_page_one():
    """With the name of the part that holds its rates; a budget letter has no rates to name."""
    assert "under “Work that only an opening shows”" in pages_of("two-pads")[0]
    assert "shows only when it is opened." in pages_of("budget")[0]


def test_what_a_price_leaves_out_is_not_among_what_it_includes():
    """``includes-not-…`` is a sentence of its own."""
    request = replace(
        request_of("two-pads"),
        prices={
            key: replace(each, includes=(say("cost.includes-seed"), say("cost.includes-not-testing")))
            for key, each in request_of("two-pads").prices.items()
        },
    )
    pdf = pypdf.PdfReader(io.BytesIO(offer_files(request)["offer.pdf"]))
    said = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert "Included: seed. Laboratory tests are extra." in said


def test_a_concrete_slab_is_warned_about():
    """Concrete counts as post-tensioned until that is disproved."""
    request = specimens.one_small_job()
    pad = replace(request.site.pads[0], surface="concrete")
    site = replace(request.site, pads=(pad,))
    pdf = pypdf.PdfReader(io.BytesIO(offer_files(replace(request, site=site))["offer.pdf"]))
    said = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    assert "a cut tendon can kill" in said
    assert not any("tendon" in page for page in pages_of("small"))


def test_what_is_written_by_hand_stands_in_its_place_as_it_was_typed():
    """Greeting and note on page one before all else, a note in its strip, the closing before the acceptance."""
    first, said = pages_of("typed")[0], " ".join(pages_of("typed"))
    odd = " ".join(specimens.ODD.split())
    for text in (f"Greeting {odd}", f"Beside {odd}", f"Closing {odd}"):
        assert said.count(text) == 1
    places = [first.index(text) for text in ("Good day, Rosa. Greeting", "Note of page one.", "What we found")]
    assert places == sorted(places)
    assert said.index("Signature") > said.index(f"Closing {odd}") > said.index("Cautions")
    options = said.index("The options, one under the other")
    assert options < said.index(f"Beside {odd}") < said.index("The firm prices do not include this work")
    assert "not offered" not in said[: said.index("Beside")]
    assert "Beside what is not offered" not in said


def test_a_small_paper_says_the_note_of_its_option_on_page_one():
    """It has no strips."""
    first = pages_of("typed-small")[0]
    assert "Beside the one option. Its second line" in first
    assert "Greeting. Note." in first
    assert " ".join(pages_of("typed-small")).index("Closing.") > first.index("Greeting.")


def test_texts_of_their_full_length_leave_the_summary_on_one_page():
    """600 signs of greeting and of note: fewer findings are told, none of the rest is lost."""
    words = "What we saw on both courts is told below. " * 20
    request = specimens.two_pads(texts=OfferTexts(words[:600], words[:600], words * 2))
    pdf = pypdf.PdfReader(io.BytesIO(offer_files(request)["offer.pdf"]))
    pages = [" ".join(page.extract_text().split()) for page in pdf.pages]
    assert "What we do not know" in pages[0]
    assert pages[1].startswith("The plan")


def read(request: OfferRequest) -> str:
    pdf = pypdf.PdfReader(io.BytesIO(offer_files(request)["offer.pdf"]))
    return " ".join(" ".join(page.extract_text() for page in pdf.pages).split())


def test_own_texts_take_the_place_of_the_usual_terms_as_they_were_typed():
    """Block by block, in the order of a paper; a text in one language alone is said in the other as it was written."""
    said = " ".join(pages_of("own"))
    odd = " ".join(specimens.ODD.split())
    order = (
        f"Warranty Own warranty {odd}",
        "Not included and not warranted – New cracks",
        "Insurance Insured by River Mutual. Ask for the certificate.",
        "Payment La mitad al empezar. Where the law of the place sets other terms, the law holds.",
        "Cancellation Three days to cancel. Where the law of the place sets other terms, the law holds.",
        "What we need from you – The way in",
        "Cautions",
    )
    places = [said.index(part) for part in order]
    assert places == sorted(places)
    assert "months: " not in said
    assert "our usual terms as of" not in said


def test_nothing_takes_the_place_of_a_caution():
    """A contractor who writes of every subject leaves each caution, that local law decides among them, as it was."""
    every = {subject: OwnText(f"Own {subject}.") for subject in SUBJECTS}
    request = request_of("two-pads")
    own = terms(Paper.of(replace(request, contractor=replace(request.contractor, terms=every)))).content["blocks"]
    usual = terms(Paper.of(request)).content["blocks"]
    assert own[-1] == usual[-1]
    assert own[-1]["heading"] == "Cautions"
    assert any("local: check it where the work is done" in sentence for sentence in own[-1]["says"])
    assert [block["typed"] for block in own[:-1]] == [[[f"Own {subject}."]] for subject in SUBJECTS]
    assert [bool(block["note"]) for block in own[:-1]] == [
        subject in ("payment", "cancellation") for subject in SUBJECTS
    ]


def test_insurance_and_cancellation_are_shown_only_when_written():
    """The trade has no usual words for them."""
    assert not any(word in page for page in pages_of("two-pads") for word in ("Insurance", "Cancellation"))


def test_where_nothing_is_offered_there_is_nothing_to_have_terms_on():
    """The cautions alone."""
    request = request_of("nothing-known")
    who = replace(request.contractor, terms={"insurance": OwnText("Insured.")})
    blocks = terms(Paper.of(replace(request, contractor=who))).content["blocks"]
    assert [block["heading"] for block in blocks] == ["Cautions"]


@pytest.mark.parametrize(("name", "size"), [("own", (600, 120)), ("own-es-small", (120, 400))])
def test_the_logo_stands_small_at_the_head_of_page_one_in_its_proportion(name: str, size: tuple[int, int]):
    """No wider than 40 mm, no higher than 15 mm; with words for who cannot see it; on no other page."""
    page, *others = pypdfium2.PdfDocument(files_of(name)["offer.pdf"])
    without = replace(request_of(name), logo=b"")
    (left, low, right, high), *more = boxes(page)
    assert not more
    width, height = (right - left) / 72 * 25.4, (high - low) / 72 * 25.4
    assert width == pytest.approx(min(40.0, 15.0 * size[0] / size[1]), abs=0.1)
    assert height == pytest.approx(min(15.0, 40.0 * size[1] / size[0]), abs=0.1)
    assert page.get_height() - high < 40 / 25.4 * 72
    plain = pypdfium2.PdfDocument(offer_files(without)["offer.pdf"])
    assert sum(len(boxes(other)) for other in others) == sum(len(boxes(other)) for other in plain)
    alts = [e.get("/Alt") for e in _elements(pdf_of(name).trailer["/Root"]["/StructTreeRoot"])]
    who = request_of(name).contractor.name
    assert (f"Logo of {who}" in alts) or (f"Logotipo de {who}" in alts)


def boxes(page: pypdfium2.PdfPage) -> list[tuple[float, float, float, float]]:
    """Return where the pictures of a page lie: left, low, right, high, in points."""
    return [found.get_bounds() for found in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_IMAGE])]


@pytest.mark.parametrize("name", ["two-pads", "two-pads-es-metric", "small"])
def test_the_first_page_reads_as_it_did(name: str):
    """Golden text of the summary, rewritten only on purpose."""
    assert pages_of(name)[0] + "\n" == (GOLDEN / f"{name}.txt").read_text(encoding="utf-8")

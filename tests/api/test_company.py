"""The company's record and logo, and the events that its head reads."""

from __future__ import annotations

import io
import zlib
from typing import Any

import pytest
from PIL import Image

from courtwright.store.rows.company import COMPANY
from tests.company import PASSWORD, Company, company, quick_passwords
from tests.desk.jobs import HEAD

__all__ = ["company", "quick_passwords"]


def _picture(kind: str, size: tuple[int, int] = (40, 20), **more: object) -> bytes:
    written = io.BytesIO()
    Image.new("RGB", size, (122, 42, 74)).save(written, kind, **more)
    return written.getvalue()


def test_the_company_is_changed_as_it_was_seen(company: Company) -> None:
    """Everybody reads it, the head writes it, its history tells."""
    head = company.set_up()
    mel = company.join(head, "crew", "mel")
    given = {"name": "Level Courts LLC", "licence": "C-12 345", "address": "1 Mill Road", "phone": "555 0100"}
    own = {"payment": {"en": "Half at the start.", "es": ""}, "insurance": {"es": "Con seguro."}, "needs": {"en": " "}}
    done = head.send("PUT", "/api/company", {**given, "terms": own}, version=1)
    assert (done.status_code, done.headers["etag"]) == (200, '"2"')
    seen = mel.get("/api/company").json()
    assert {name: seen[name] for name in given} == given
    kept = {subject: text for subject, text in seen["terms"].items() if text is not None}
    assert kept == {"payment": {"en": "Half at the start.", "es": ""}, "insurance": {"en": "", "es": "Con seguro."}}
    assert head.send("PUT", "/api/company", given, version=1).status_code == 412
    assert head.send("PUT", "/api/company", given).status_code == 428
    assert [one["action"] for one in head.get("/api/company/history").json()] == ["made", "changed"]


def test_what_is_left_out_of_the_terms_goes_and_terms_that_are_left_out_stay(company: Company) -> None:
    """Who changes the telephone alone wipes no text; what was read can be sent back as it is."""
    head = company.set_up()
    own = {"needs": {"en": "A tap.", "es": "Una llave."}, "payment": {"en": "Half.", "es": ""}}

    def after(version: int, **values: object) -> dict[str, Any]:
        return head.send("PUT", "/api/company", {"name": "Ada", **values}, version=version).json()["terms"]

    terms = after(1, terms=own)
    assert after(2, phone="1") == after(3, terms=terms) == after(4, phone="1", terms=None) == terms
    fewer = after(5, terms={"needs": own["needs"]})
    assert (fewer["needs"], fewer["payment"]) == (own["needs"], None)
    assert after(6, terms={})["needs"] is None


@pytest.mark.parametrize(
    "wrong",
    [
        {"cautions": {"en": "None."}},
        {"payment": "half"},
        {"payment": {"fr": "la moitié"}},
        {"payment": {"en": "x" * 4001}},
        {"payment": {"en": "bell \x07"}},
        {"payment": {"en": 3}},
        [],
    ],
)
def test_terms_of_another_form_are_refused(company: Company, wrong: object) -> None:
    """The cautions are nobody's to replace; texts are bounded and can be printed."""
    head = company.set_up()
    assert head.send("PUT", "/api/company", {"name": "Ada", "terms": wrong}, version=1).status_code == 422
    assert head.get("/api/company").json()["version"] == 1


def test_a_record_of_an_earlier_release_is_read(company: Company) -> None:
    """Terms were any table once; what is none of today's texts is passed over."""
    head = company.set_up()
    odd = {"payment": "half", "needs": {"en": "x" * 9000, "fr": "y"}, "colour": {"deep": [1]}, "warranty": None}
    with company.office.writing(HEAD) as unit:
        unit.company.change(COMPANY, 1, terms=odd)
    told = head.get("/api/company").json()["terms"]
    assert {subject: text for subject, text in told.items() if text is not None} == {
        "needs": {"en": "x" * 9000, "es": ""}
    }


def test_the_usual_terms_are_told_in_both_languages(company: Company) -> None:
    """What a paper says where the company writes nothing."""
    told = company.set_up().get("/api/company/usual-terms").json()
    by_subject = {one["subject"]: one for one in told}
    assert list(by_subject) == ["warranty", "exclusions", "insurance", "payment", "cancellation", "needs"]
    assert by_subject["insurance"]["title"] == {"en": "Insurance", "es": "Seguro"}
    assert by_subject["insurance"]["says"] == {"en": [], "es": []}
    for language, heard in (("en", "A tap with pressure"), ("es", "Una llave con presión")):
        assert any(sentence.startswith(heard) for sentence in by_subject["needs"]["says"][language])


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_a_logo_is_written_anew(company: Company, kind: str) -> None:
    """What comes out is a small PNG of pixels alone, whatever was hidden in the file."""
    head = company.set_up()
    comment = b"<script>alert(1)</script>"
    data = _picture(kind, (2400, 1200)) + comment
    done = head.send("PUT", "/api/company/logo", version=1, content=data)
    assert done.status_code == 200, done.text
    shown = head.get("/api/company/logo")
    assert shown.headers["content-type"] == "image/png"
    with Image.open(io.BytesIO(shown.content)) as picture:
        assert (picture.format, picture.size, picture.info) == ("PNG", (1200, 600), {})
    assert comment not in shown.content
    assert head.send("DELETE", "/api/company/logo", version=2).json()["logo_sha256"] is None
    assert head.get("/api/company/logo").status_code == 404


def _bomb() -> bytes:
    """Return a PNG that says it has 60,000 × 60,000 points."""
    whole = _picture("PNG")
    head = b"IHDR" + (60_000).to_bytes(4) + (60_000).to_bytes(4) + whole[24:29]
    return whole[:12] + head + zlib.crc32(head).to_bytes(4) + whole[33:]


def test_what_is_no_logo_is_refused(company: Company) -> None:
    """Drawings with scripts, other kinds, broken, huge: told with 422, and nothing is kept."""
    head = company.set_up()
    svg = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
    whole = _picture("PNG")
    wrong = (
        b"",
        svg,
        b"<html>",
        _picture("GIF"),
        _picture("TIFF"),
        whole[:60],
        _bomb(),
        b"\x89PNG\r\n\x1a\n" + b"x" * 99,
    )
    for data in (*wrong, whole + b"x" * 1_000_000):
        answer = head.send("PUT", "/api/company/logo", version=1, content=data)
        assert (answer.status_code, answer.json()["at"]) == (422, "logo"), data[:20]
    assert head.get("/api/company").json()["logo_sha256"] is None


def test_events_tell_who_came_and_what_changed_without_a_secret(company: Company) -> None:
    """In order, page by page; no address, name, token or password in them."""
    head = company.set_up()
    mel = company.join(head, "crew", "mel")
    id = mel.person["id"]
    company.browser().sign_in("mel@courts.example", "not this one either")
    company.browser().sign_in("nobody@courts.example", "not this one either")
    head.send("PUT", f"/api/people/{id}/role", {"role": "estimator"}, version=1)
    mel.send("POST", "/api/me/password", {"old": PASSWORD, "new": "seven grey geese at dawn"})
    head.send("POST", f"/api/people/{id}/entry")
    head.send("POST", f"/api/people/{id}/withdraw", version=3)
    head.send("POST", f"/api/people/{id}/bring-back", version=4)
    head.send("DELETE", "/api/session")
    head.arrived(head.sign_in("ana@courts.example"))
    told = head.get("/api/events")
    assert [one["what"] for one in told.json()] == [
        "entry-made", "entry-used", "company-set-up", "signed-in", "person-invited", "person-joined", "signed-in",
        "sign-in-refused", "sign-in-refused", "role-changed", "password-changed", "signed-in", "entry-made",
        "person-withdrawn", "person-brought-back", "signed-out", "signed-in",
    ]  # fmt: skip
    refused = [(one["who"], one["about"]) for one in told.json() if one["what"] == "sign-in-refused"]
    assert refused == [("nobody", id), ("nobody", "")]
    assert not any(secret in told.text for secret in ("courts.example", "Ana", PASSWORD, "argon2", head.word))
    last = told.json()[-1]["seq"]
    assert head.get(f"/api/events?after={last - 1}&most=5").json() == told.json()[-1:]


def test_before_the_set_up_nobody_reads_a_company(company: Company) -> None:
    """There is nobody who could."""
    assert company.browser().get("/api/company").status_code == 401

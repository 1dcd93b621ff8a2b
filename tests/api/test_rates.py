"""The company's own rates over the web."""

from __future__ import annotations

import pytest

from tests.company import Company, company, quick_passwords

__all__ = ["company", "quick_passwords"]

RATES = "/api/company/rates"
CSV = {"Content-Type": "text/csv"}


def own(**more: str) -> dict[str, object]:
    """Return one own rate as a page sends it."""
    return {"rates": {"lines.swale": {"value": "27,50", "date": "2026-05-04", **more}}}


# --- laws ---------------------------------------------------------------------------------------


def test_rates_are_changed_as_they_were_seen(company: Company) -> None:
    """The head writes, an estimator reads, the crew reads none; the ETag is the version, from 0 on."""
    head = company.set_up()
    bo, mel = company.join(head, "estimator", "bo"), company.join(head, "crew", "mel")
    first = head.get(RATES)
    assert (first.headers["etag"], first.json()["version"], first.json()["currency"]) == ('"0"', 0, "USD")
    assert {one["group"] for one in first.json()["rates"]} == {"lines", "mobilisation", "minimum", "costs", "single"}
    assert all(one["own"] is None for one in first.json()["rates"])
    done = head.send("PUT", RATES, own(note="bid of May"), version=0)
    assert (done.status_code, done.headers["etag"]) == (200, '"1"')
    seen = {one["id"]: one for one in bo.get(RATES).json()["rates"]}
    assert seen["lines.swale"] == {
        "id": "lines.swale",
        "group": "lines",
        "title": "swale",
        "usual": 26.0,
        "unit": "lf",
        "unit_title": "foot (lf)",
        "source": "from memory",
        "own": {"value": 27.5, "unit": "lf", "date": "2026-05-04", "note": "bid of May"},
    }
    assert (mel.get(RATES).status_code, mel.get(f"{RATES}/history").status_code) == (403, 403)
    assert bo.send("PUT", RATES, own(), version=1).status_code == 403
    assert head.send("PUT", RATES, own(), version=0).status_code == 412
    assert head.send("PUT", RATES, own()).status_code == 428
    assert head.send("PUT", RATES, {"rates": {}}, version=1).json()["version"] == 2
    told = bo.get(f"{RATES}/history").json()
    assert [one["action"] for one in told] == ["made", "changed"]
    assert told[1]["after"] == {"rates": {}}


def test_titles_are_in_the_readers_language(company: Company) -> None:
    """By what the browser asks for."""
    head = company.set_up()
    told = {one["id"]: one for one in head.get(RATES, headers={"Accept-Language": "es"}).json()["rates"]}
    assert (told["lines.swale"]["title"], told["lines.swale"]["unit_title"]) == ("cuneta", "pie lineal")


def test_a_file_is_read_and_nothing_kept(company: Company) -> None:
    """Each row beside what counts now, the wrong one with what to do."""
    head = company.set_up()
    head.send("PUT", RATES, own(), version=0)
    data = "\ufeffid;valor;unidad\nlines.swale;28,00;lf\nlines.swalle;28;lf\n".encode()
    told = head.send("POST", f"{RATES}/read", content=data, headers=CSV)
    assert told.status_code == 200, told.text
    good, wrong = told.json()["rows"]
    assert good == {
        "line": 2,
        "id": "lines.swale",
        "title": "swale",
        "value": 28.0,
        "unit": "lf",
        "was": 27.5,
        "date": None,
        "note": "",
        "complaint": None,
    }
    assert (wrong["line"], wrong["value"], wrong["title"]) == (3, None, "")
    assert wrong["complaint"] == "lines.swalle is no rate of ours; perhaps lines.swale is meant"
    assert head.get(RATES).json()["version"] == 1


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "status", "says"),
    [
        (b"PK\x03\x04more", 422, "save it as CSV in that program, and give that file"),
        (b"", 422, "begin from the file of the current rates"),
        (b"x,y\n1,2\n", 422, "begin from the file of the current rates"),
        (b"id,value\n" + b"lines.swale,1\n" * 2000, 422, "leave out what is not to be changed"),
        (b"id,value\n" + b"\n" * 500_000, 413, ""),
    ],
)
def test_a_file_that_is_none_is_refused_with_what_to_do(company: Company, data: bytes, status: int, says: str) -> None:
    """A spreadsheet, nothing, another table, too many rows, too many bytes."""
    head = company.set_up()
    told = head.send("POST", f"{RATES}/read", content=data, headers=CSV)
    assert told.status_code == status, told.text
    assert says in told.json()["detail"]


@pytest.mark.parametrize(
    "body",
    [
        own(value="a lot"),
        own(value="-1"),
        own(value=""),
        own(unit="sf"),
        own(date="soon"),
        own(note="x" * 201),
        own(more="x"),
        {"rates": {"lines.nothing": {"value": "1", "date": "2026-05-04"}}},
        {"rates": {f"lines.{n}": {"value": "1", "date": "2026-05-04"} for n in range(501)}},
        {"rates": [1]},
        {},
    ],
)
def test_what_is_no_rate_is_refused(company: Company, body: dict[str, object]) -> None:
    """Told with 422, and nothing is kept."""
    head = company.set_up()
    assert head.send("PUT", RATES, body, version=0).status_code == 422
    assert head.get(RATES).json()["version"] == 0

"""A CSV file of own rates: read row by row as programs of both languages write it, each row with what is wrong."""

from __future__ import annotations

import codecs
import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.errors import InputError
from courtwright.job.house_rates import own_value, rate_title, rates_told, rates_without_use, usual_rate
from courtwright.job.rates_csv import MOST_ROWS, RowRead, read_rates
from courtwright.trade.house_rates import HouseRate, HouseRates, usual_rates
from courtwright.trade.words import render

NONE = HouseRates()


def read(text: str, house: HouseRates = NONE) -> tuple[RowRead, ...]:
    """Return the rows of a text."""
    return read_rates(text.encode(), house)


def one(cells: str, heading: str = "id,value,unit,date,note") -> RowRead:
    """Return the only row of a file."""
    (row,) = read(f"{heading}\n{cells}\n")
    return row


def codes(row: RowRead) -> list[str]:
    """Return the ids of what is said of a row."""
    return [says.id for says in row.complaint]


# --- laws ---------------------------------------------------------------------------------------


def test_a_row_is_told_beside_what_counts_now():
    """The usual value, or the own one where there is one."""
    text = "id,value,unit,date,note\nlines.swale,27.5,lf,2026-05-04,bid of May\nprofit,14,pct,,\n"
    swale, profit = read(text, HouseRates({"profit": HouseRate(13.0, "pct", "2026-01-01")}))
    assert (swale.line, swale.value, swale.was, swale.date) == (2, 27.5, 26.0, dt.date(2026, 5, 4))
    assert (swale.note, swale.complaint) == ("bid of May", ())
    assert (profit.line, profit.value, profit.was, profit.date) == (3, 14.0, 13.0, None)


@pytest.mark.parametrize(
    "data",
    [
        b"id;valor;unidad;fecha\r\nlines.swale;27,50;pie lineal;2026-05-04\r\n",
        codecs.BOM_UTF8 + "nota;valor;id\naño;27,5;lines.swale\n".encode(),
        "id\tVALUE\tnota\nlines.swale\t27.5\taño\n".encode("utf-16"),
        "id;Valor;nota\n\nlines.swale;$ 27,5;año\n".encode("cp1252"),
        b'"value","title","id","per"\n"$27.50","a, b","lines.swale","USD/lf"\n',
    ],
)
def test_what_spreadsheets_write_is_read(data: bytes):
    """Semicolons or tabs, a decimal comma, a mark at the start, either language, columns in any order."""
    (row,) = read_rates(data, NONE)
    assert (row.id, row.value, row.complaint) == ("lines.swale", 27.5, ())


def test_a_metric_value_becomes_one_for_the_rates_unit():
    """90.22 a metre times 0.3048 is 27.499056 a foot; 50 a m³ times 0.764554857984 is 38.2277428992 a cubic yard."""
    assert one("lines.swale,90.22,m").value == pytest.approx(27.499056)
    assert one("lines.excavation,50,m³").value == pytest.approx(38.2277429)
    assert one("lines.milling,6,$/m2").value == pytest.approx(6 * 0.83612736)


def test_a_row_without_a_value_leaves_its_rate_as_it_is():
    """So do empty rows; the file of all rates has many."""
    assert read("id,value\nlines.swale,\n,\n\nlines.stone,41\n")[0].line == 5


@given(st.sampled_from(list(usual_rates())), st.decimals(0, 199, places=2))
def test_what_is_written_is_read_again(id: str, value: object):
    """A figure in its own unit, of any rate, is the figure that is kept."""
    row = one(f"{id},{value},{usual_rates()[id].unit}")
    assert (row.complaint, row.value) == ((), float(str(value)))


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data: bytes):
    """Never anything else."""
    for start in (b"", b"id,value\n", b"id;valor\nlines.swale;"):
        try:
            rows = read_rates(start + data, NONE)
        except InputError:
            continue
        assert all((row.value is None) == bool(row.complaint) for row in rows)


def test_every_rate_has_a_title_of_its_own_in_both_languages():
    """A row of a file is told apart by it, a field known by it."""
    for language in ("en", "es"):
        titles = [render(told.title, language) for told in rates_told(NONE)]
        assert len(set(titles)) == len(titles) == len(usual_rates())
        assert not any("⟨" in render(told.unit, language) for told in rates_told(NONE))


def test_own_rates_that_the_book_has_not_are_named():
    """Their id, or what they are for, is of another release."""
    kept = {"lines.swale": HouseRate(27.0, "lf", "2026-05-04"), "lines.gone": HouseRate(1.0, "lf", "2026-05-04")}
    assert rates_without_use(HouseRates({**kept, "profit": HouseRate(3.0, "lf", "2026-05-04")})) == (
        "lines.gone",
        "profit",
    )


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cells", "said"),
    [
        ("lines.swalle,27", ["cost.rate-unknown", "cost.rate-unknown-near"]),
        ("=cmd(),27", ["cost.rate-unknown", "cost.rate-unknown-do"]),
        (",27", ["cost.rate-no-id", "cost.rate-unknown-do"]),
        ("lines.swale,27,sf", ["cost.rate-unit", "cost.rate-unit-do"]),
        ("profit,27,each", ["cost.rate-unit", "cost.rate-unit-do"]),
        ("lines.swale,a lot", ["units.unreadable", "units.write-number"]),
        ("lines.swale,-3", ["units.negative", "units.write-number"]),
        ("lines.swale,10000001", ["cost.rate-large", "cost.rate-large-do"]),
        ("profit,201", ["cost.rate-large", "cost.rate-large-do"]),
        ("lines.swale,27,lf,5/4/2026", ["cost.rate-no-date", "cost.rate-no-date-do"]),
    ],
)
def test_a_row_that_cannot_be_used_says_why(cells: str, said: list[str]):
    """What is wrong, then what to do; it has no value, and its line is told."""
    row = one(cells)
    assert (codes(row), row.value, row.line) == (said, None, 2)


def test_a_point_or_comma_before_three_digits_is_asked_about_where_it_may_be_either():
    """Between semicolons 1.234 may be a thousand; between commas it is one and a bit, and 1,234 is a thousand."""
    assert codes(one("lines.stone;1.234", "id;value")) == ["cost.rate-two-ways", "cost.rate-two-ways-do"]
    assert codes(one("lines.stone;1,234", "id;value")) == ["cost.rate-two-ways", "cost.rate-two-ways-do"]
    assert one("lines.stone;1.234,5", "id;value").value == 1234.5
    assert one("lines.stone,1.234", "id,value").value == 1.234
    assert one('lines.stone,"1,234.50"', "id,value").value == 1234.5
    assert one("lines.stone;0,125", "id;value").value == 0.125


def test_a_rate_that_stands_twice_counts_once():
    """The later row names the earlier line; a row that is wrong does not take its place."""
    rows = read("id,value\nlines.swale,x\nlines.swale,27\nlines.swale,28\n")
    assert [row.value for row in rows] == [None, 27.0, None]
    assert (codes(rows[2])[0], rows[2].complaint[0].values["line"]) == ("cost.rate-twice", 3)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"PK\x03\x04" + b"x" * 40, "cost.rates-spreadsheet"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\x00" * 40, "cost.rates-spreadsheet"),
        (b"\x89PNG\x00\x01", "cost.rates-no-text"),
        (b"", "cost.rates-empty"),
        (b" \n\n", "cost.rates-empty"),
        (b"lines.swale,27\n", "cost.rates-columns"),
        (b"id,unit\nlines.swale,lf\n", "cost.rates-columns"),
        (b"id,value\n" + b"lines.swale,27\n" * (MOST_ROWS + 1), "cost.rates-many"),
        (b'id,value\nlines.swale,"' + b"9" * 200_000, "cost.rates-row"),
    ],
)
def test_a_file_that_is_none_is_refused_whole(data: bytes, said: str):
    """A spreadsheet, a picture, nothing, no heading, far too many rows, a cell without an end."""
    with pytest.raises(InputError) as refused:
        read_rates(data, NONE)
    assert refused.value.problem.id == said
    assert refused.value.fix is not None


def test_an_id_that_is_none_is_refused_with_the_nearest():
    """As it is typed over the web."""
    with pytest.raises(InputError) as refused:
        usual_rate("lines.swalee")
    assert refused.value.fix is not None
    assert refused.value.fix.values["near"] == "lines.swale"
    assert own_value(usual_rate("lines.swale"), "27,5") == 27.5
    assert render(rate_title("costs.trip-own")) == "trip of our own crew: what we pay"

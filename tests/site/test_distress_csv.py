"""Lists of distresses as people write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from courtwright.site.formats.distress_csv import read_distresses
from courtwright.trade.load import distresses
from courtwright.trade.words import render

HEAD = "distress,severity,quantity,unit\n"
FT, SF = 0.3048, 0.3048**2


def _one(row: str):
    rows, complaints = read_distresses((HEAD + row).encode(), "d.csv")
    assert complaints == ()
    (found,) = rows
    return found.number, found.severity, found.quantity


# --- laws ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "number", "severity", "quantity"),
    [
        ("alligator cracking,L,13,sf", 1, "L", 13 * SF),
        ("1,L,13,ft2", 1, "L", 13 * SF),
        ("L & T cracking,medium,40,lf", 10, "M", 40 * FT),
        ("Longitudinal and Transverse Cracking,M,40,ft", 10, "M", 40 * FT),
        ("l/t cracking,m,12.5,m", 10, "M", 12.5),
        ("10. L & T Cracking,H,3,m", 10, "H", 3),
        ("grietas longitudinales y transversales,alta,3,m", 10, "H", 3),
        ("patching/utility cut,H,2,m2", 11, "H", 2),
        ("Pothole,L,4,ea", 13, "L", 4),
        ("raveling,L,1,sy", 19, "L", 9 * SF),
        ("polished aggregate,,5,m²", 12, "-", 5),
        ("depression,L,12-1/2,sf", 6, "L", 12.5 * SF),
    ],
)
def test_names_numbers_severities_and_units_as_people_write_them(row, number, severity, quantity):
    """Each spelling comes to the standard's number, a severity and SI."""
    found = _one(row)
    assert found == (number, severity, pytest.approx(quantity))


def test_columns_stand_in_any_order_with_any_delimiter_and_a_mark():
    """The same list in other clothes: BOM, semicolons, decimal commas, other order, blank lines, UTF-16."""
    plain, _ = read_distresses((HEAD + "10,L,12.5,m\n").encode(), "a.csv")
    other = "\ufeffUnit; Quantity ;Distress;SEVERITY\r\n\r\nm;12,5;10;l\r\n"
    for data in (other.encode(), other.replace(";", "\t").encode(), other[1:].encode("utf-16")):
        rows, complaints = read_distresses(data, "b.csv")
        assert (rows, complaints) == (plain, ())


def test_rows_of_one_distress_and_severity_are_added_up():
    """Two rows of 10 L and one of 10 M make two distresses."""
    rows, complaints = read_distresses((HEAD + "10,L,10,m\n10,M,1,m\nl & t cracking,low,5,m\n").encode(), "d.csv")
    assert complaints == ()
    assert [(row.number, row.severity, row.quantity) for row in rows] == [(10, "L", 15), (10, "M", 1)]


def test_weathering_of_the_current_standard_counts_with_ravelling_and_says_so():
    """20 has no curve of its own here: it is counted as 19, with a note."""
    rows, (note,) = read_distresses((HEAD + "20,L,10,m2\n19,L,5,m2\n").encode(), "d.csv")
    assert [(row.number, row.quantity) for row in rows] == [(19, 15)]
    assert (note.code, note.weight, note.at) == ("counted-as", "note", "line 2")


@given(st.binary(max_size=300))
def test_no_bytes_raise(data: bytes):
    """Whatever is in the file, there is an answer; without a row there is a complaint."""
    rows, complaints = read_distresses(data, "x.csv")
    assert rows or complaints


@given(st.text(max_size=200))
def test_no_row_raises(text: str):
    """Nor whatever stands under a good heading."""
    rows, complaints = read_distresses((HEAD + text).encode("utf-8", "surrogatepass"), "x.csv")
    assert all(row.quantity > 0 for row in rows)
    assert all(complaint.at or not rows for complaint in complaints)


# --- refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "code"),
    [
        ("aligator craking,L,1,sf", "unknown-distress-near"),
        ("xyzzy,L,1,sf", "unknown-distress"),
        ("21,L,1,sf", "unknown-distress"),
        ("10,X,1,m", "unknown-severity"),
        ("10,,1,m", "unknown-severity"),
        ("10,L,1,sf", "wrong-unit"),
        ("alligator cracking,L,1,m", "wrong-unit"),
        ("pothole,L,1,m2", "wrong-unit"),
        ("10,L,1,furlong", "unknown-unit"),
        ("10,L,1,", "unknown-unit"),
        ("10,L,about ten,m", "unread-quantity"),
        ("10,L,nan,m", "unread-quantity"),
        ("10,L,-3,m", "unread-quantity"),
        ("10,L,0,m", "no-amount"),
        ("9,L,1,m", "curve-missing"),
        ("10,L", "unknown-unit"),
    ],
)
def test_a_wrong_row_is_told_with_its_line_and_the_good_rows_are_kept(row: str, code: str):
    """One complaint, with file, line and what to do, in both languages; the row after it counts."""
    rows, (complaint,) = read_distresses(f"{HEAD}{row}\n11,M,2,m2\n".encode(), "d.csv")
    assert [found.number for found in rows] == [11]
    assert (complaint.file, complaint.at, complaint.code, complaint.weight) == ("d.csv", "line 2", code, "error")
    for language in ("en", "es"):
        assert "⟨" not in render(complaint.says, language) + render(complaint.do, language)


def test_a_unit_of_area_on_a_length_is_told_what_is_expected():
    """The complaint names the unit written and those expected."""
    _, (complaint,) = read_distresses((HEAD + "10,L,40,sf\n").encode(), "d.csv")
    assert render(complaint.says) == ("longitudinal and transverse cracking is not measured in “sf”; expected: lf, m.")


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "empty-list"),
        (b" \n\n", "empty-list"),
        (b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "no-list"),
        (b"a" * 5_000_000, "no-list"),
        (b"distress,severity,quantity\n10,L,4\n", "no-columns"),
        (b"10,L,4,m\n", "no-columns"),
        (HEAD.encode(), "no-rows"),
    ],
)
def test_a_file_that_is_no_list_is_told(data: bytes, code: str):
    """Empty, binary, huge, without a heading: one complaint, no rows."""
    rows, (complaint,) = read_distresses(data, "d.csv")
    assert (rows, complaint.code) == ((), code)


def test_a_distress_larger_than_its_unit_is_told_and_the_rest_is_kept():
    """7 of 10 m² and then 4 more of the same are too much; of another severity, or a length, they are not."""
    text = HEAD + "1,L,7,m2\n1,L,4,m2\n1,M,4,m2\n10,L,400,m\n19,L,10,m2\n"
    rows, (complaint,) = read_distresses(text.encode(), "d.csv", 10.0)
    assert [(row.number, row.severity, row.quantity) for row in rows] == [
        (1, "L", 7), (1, "M", 4), (10, "L", 400), (19, "L", 10),
    ]  # fmt: skip
    assert (complaint.at, complaint.code) == ("line 3", "over-unit")
    assert complaint.says.values["covers"] == 11


def test_every_distress_of_the_standard_is_read_by_number_and_by_name():
    """All twenty; those without a curve are told."""
    unit = {"area": "m2", "length": "m", "count": "ea"}
    for spec in distresses().values():
        for name in (str(spec.number), spec.name.en, spec.name.es, *spec.also):
            row = f'"{name}",L,1,{unit[spec.measured]}'
            rows, complaints = read_distresses((HEAD + row).encode(), "d.csv")
            lacks_curve = spec.number in (9, 14)
            assert [c.code for c in complaints if c.weight == "error"] == (["curve-missing"] if lacks_curve else [])
            assert [r.number for r in rows] == ([] if lacks_curve else [spec.counted_as or spec.number])

"""The data of courts and the condition index: laws of its files, and how a wrong file is refused."""

import pytest

from courtwright.errors import TradeDataError
from courtwright.trade import curve_files, tables, unit_keys
from courtwright.trade.court_records import CourtSpec
from courtwright.trade.load import check_sources, courts, deduct_curves, distresses, rating_bands

SPORTS = {"tennis", "pickleball", "basketball", "basketball-fiba", "volleyball"}


# --- laws ----------------------------------------------------------------------------------------


def test_the_sports_of_the_trade_are_there_with_their_room():
    """Each sport has lines, corners, run-offs and at least one range of fall."""
    assert set(courts()) >= SPORTS
    for sport, spec in courts().items():
        assert spec.id == sport
        assert spec.lines
        assert spec.corners
        assert spec.run_offs
        assert spec.slopes
        assert all(slope.min <= slope.max for slope in spec.slopes)
        assert all(line.width > 0 for line in (*spec.lines, *spec.arcs))


def test_border_lines_run_along_the_printed_length_and_width():
    """The drawn edges of lines and arcs stay within the court, but for the run through the corners of inside ones."""
    for spec in courts().values():
        reach = 0.2 if spec.dimensions_to == "inside" else 0.0
        xs = [abs(x) for line in spec.lines for x, _ in (line.start, line.end)]
        ys = [abs(y) for line in spec.lines for _, y in (line.start, line.end)]
        assert spec.width / 2 - 1e-9 <= max(xs) <= spec.width / 2 + reach + 1e-9
        assert max(ys) == pytest.approx(spec.length / 2)


def test_the_standard_has_twenty_distresses_and_all_but_two_have_curves():
    """Lane drop-off (9) and rail crossing (14) have none; weathering (20) counts as 19."""
    assert sorted(distresses()) == list(range(1, 21))
    without = {
        n for n, spec in distresses().items() if not any(k[0] == (spec.counted_as or n) for k in deduct_curves().deduct)
    }
    assert without == {9, 14}
    names = [name for spec in distresses().values() for name in (spec.name.en, *spec.also)]
    assert len(names) == len(set(names))


def test_all_49_deduct_curves_are_marked_as_recalled():
    """None was read from the standard's figures."""
    assert len(deduct_curves().deduct) == 49
    assert all(curve.from_memory for curve in deduct_curves().deduct.values())
    assert sorted(deduct_curves().corrected) == [2, 3, 4, 5, 6, 7, 8]


def test_ratings_cover_every_index():
    """From 0 up, each band above the next."""
    leasts = [band.least for band in rating_bands()]
    assert leasts == sorted(set(leasts), reverse=True)
    assert leasts[-1] == 0


# --- refusals ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("table", "problem"),
    [
        ({"length": 78}, "courts.no-unit"),
        ({"start": [0, 39]}, "courts.no-unit"),
        ({"length_ft": 78, "length_m": 23.774}, "courts.two-units"),
        ({"lines": [{"width": 2}]}, "courts.no-unit"),
    ],
)
def test_a_number_needs_one_unit(table, problem: str):
    """A bare number and a value in two units are refused with their place."""
    with pytest.raises(TradeDataError) as refusal:
        unit_keys.in_si(table, "courts/x.toml")
    assert refusal.value.problem.id == problem
    assert refusal.value.where.startswith("courts/x.toml")


def test_an_unknown_key_of_a_court_is_refused_with_the_nearest():
    """Written ``run_of`` for ``run_offs``."""
    with pytest.raises(TradeDataError) as refusal:
        tables.record(CourtSpec, {"run_of": []}, "courts/x.toml")
    assert refusal.value.problem.values["near"] == "run_offs"


def test_a_source_that_nobody_lists_is_refused_wherever_it_stands():
    """Within a list of tables, too."""
    with pytest.raises(TradeDataError) as refusal:
        check_sources({"source": "from memory", "lines": [{"source": "hearsay, p. 1"}]}, "courts/x.toml")
    assert refusal.value.where == "courts/x.toml, lines"


HEAD = '# title = "t"\n# source = "from memory"\n# unit = "points"\n'


@pytest.mark.parametrize(
    ("body", "problem"),
    [
        ("1,L,1,5\n1,L,1,6\n", "courts.curve-falls"),
        ("1,L,1,5\n1,L,2,4\n", "courts.curve-falls"),
        ("1,L,x,5\n", "courts.no-number"),
        ("1,L,nan,5\n", "courts.no-number"),
        ("1,L,-1,5\n", "courts.no-number"),
        ("1,L,1\n", "courts.no-number"),
    ],
)
def test_a_deduct_curve_that_falls_or_cannot_be_read_is_refused(tmp_path, body: str, problem: str):
    """With the file and the row or curve."""
    file = tmp_path / "deduct.csv"
    file.write_text(f"{HEAD}distress,severity,density_pct,deduct\n{body}", encoding="utf-8")
    with pytest.raises(TradeDataError) as refusal:
        curve_files.deduct_curves_in(file)
    assert refusal.value.problem.id == problem
    assert refusal.value.where.startswith("deduct.csv")


def test_a_corrected_value_above_its_total_is_refused(tmp_path):
    """The correction never adds."""
    file = tmp_path / "corrected.csv"
    file.write_text(f"{HEAD}q,total,corrected,basis\n2,20,21,fitted\n", encoding="utf-8")
    with pytest.raises(TradeDataError) as refusal:
        curve_files.corrected_curves_in(file)
    assert refusal.value.problem.id == "courts.corrected-above-total"


def test_a_head_that_is_no_toml_is_refused(tmp_path):
    """The lines above the table say what it is."""
    file = tmp_path / "deduct.csv"
    file.write_text("# title = t\ndistress,severity,density_pct,deduct\n", encoding="utf-8")
    with pytest.raises(TradeDataError) as refusal:
        curve_files.deduct_curves_in(file)
    assert refusal.value.problem.id == "trade.not-toml"

"""The commands ``level`` and ``tie``: answers, exit codes, refusals."""

from __future__ import annotations

import math

import pytest

from .test_commands import answer, run


@pytest.fixture
def files(tmp_path):
    """Return a writer of small files."""

    def write(name: str, text: str):
        (tmp_path / name).write_text(text)
        return tmp_path / name

    return write


BOOK = "station,bs,is,fs,remark\nBM,4.32,,,\na,,5.11,,\nT,6.20,,3.05,\nBM,,,{},\n"


def test_level_answers_in_metres_and_closes(files):
    known = files("known.csv", "station,elevation\nBM,100\n")
    told = answer("level", files("book.csv", BOOK.format("7.45")), "--known", known)
    assert [p["station"] for p in told["points"]] == ["BM", "a", "T", "BM"]
    assert told["points"][1]["elevation_m"] == pytest.approx(99.21 * 0.3048, abs=1e-5)
    # Off by 10.52 - 10.50 = 0.02 ft over two set-ups: a hundredth for each.
    assert told["points"][2]["adjusted_m"] == pytest.approx((101.27 - 0.01) * 0.3048, abs=1e-5)
    assert told["misclosure_mm"] == pytest.approx(6.1, abs=0.01)
    assert told["allowable_mm"] == pytest.approx(5 * math.sqrt(2), abs=0.005)
    assert told["closes"] is True
    assert told["shoot_again"] == []


def test_level_names_the_legs_of_a_book_that_does_not_close(files):
    book = files("book.csv", BOOK.format("7.25"))
    told = answer("level", book, "--units", "metric")
    assert told["closes"] is False
    assert told["shoot_again"] == [{"from": "BM", "to": "T"}, {"from": "T", "to": "BM"}]
    assert "open" in {c["code"] for c in told["complaints"]}
    run("level", book, "--strict", code=3)
    assert "No cierra" in run("level", book, "--lang", "es").stdout


def test_level_judges_by_order_where_the_run_was_measured(files):
    """Third order: 12 mm times the root of 0.25 km."""
    text = "station,bs,is,fs,distance (m)\nA,1,,,60\nB,1,,1,130\nA,,,1.004,60\n"
    told = answer("level", files("book.csv", text), "--units", "metric", "--order", "third")
    assert told["allowable_mm"] == pytest.approx(12 * math.sqrt(0.25))
    run("level", files("short.csv", BOOK.format("7.45")), "--order", "third", code=3)


def test_level_reads_rods_and_the_pad_takes_them_as_heights(files, tmp_path):
    rods = "point,x,y,rod\n1,0,0,4.1\n2,60,0,4.5\n3,60,120,4.9\n4,0,120,4.3\n1,0,0,4.1\n"
    told = answer("level", files("rods.csv", rods))
    assert [p["elevation_m"] for p in told["points"]] == pytest.approx(
        [-(r - 4.1) * 0.3048 for r in (4.1, 4.5, 4.9, 4.3, 4.1)], abs=1e-5
    )
    assert told["closes"] is True
    files("site.toml", '[[pad]]\nid = "a"\nshots = "rods.csv"\noutline = [[0,0],[60,0],[60,120],[0,120]]\n')
    seen = answer("ground", tmp_path)
    assert seen["pads"][0]["heights"]["shots"] == 4


def test_tie_locates_and_names_a_bad_tape(files):
    known = files("known.csv", "point,x,y\nA,0,0\nB,8,0\nC,0,30\nD,10,20\nE,25,10\n")
    ties = "point,from,distance,side\nP,A,5,left\nP,B,5,\n" + "".join(
        f"R,{name},{math.dist((10, 10), xy) + (0.2 if name == 'D' else 0):.4f},\n"
        for name, xy in {"A": (0, 0), "B": (8, 0), "C": (0, 30), "D": (10, 20), "E": (25, 10)}.items()
    )
    told = answer("tie", files("ties.csv", ties), "--known", known, "--units", "metric")
    p, r = told["points"]
    assert (p["point"], p["x_m"], p["y_m"], p["residual_mm"]) == ("P", 4.0, 3.0, 0.0)
    assert p["ellipse"] == [0.00589, 0.00442, 0.0]
    assert (r["x_m"], r["y_m"]) == pytest.approx((10, 10), abs=1e-3)
    assert [t["from"] for t in r["tapes"] if not t["used"]] == ["D"]
    assert [(c["code"], c["at"]) for c in told["complaints"]] == [("tie-long", "line 7")]


@pytest.mark.parametrize(
    "content", ["", "a,b\n1,2\n", "station,bs,is,fs\n", "\x89PNG\x00", "point,from,distance\nP,A,x\n"]
)
def test_what_is_no_book_and_no_ties_is_refused(files, content):
    file = files("bad.csv", content)
    known = files("known.csv", "point,x,y\nA,0,0\n")
    assert answer("level", file, code=3)["complaints"]
    assert answer("tie", file, "--known", known, code=3)["complaints"]
    assert "Traceback" not in run("tie", file, "--known", known, code=3).stderr
    run("tie", file, code=2)
    run("level", file.with_name("none.csv"), code=2)

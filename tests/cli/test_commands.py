"""The commands as a person or a program meets them: answers, exit codes, nothing lost."""

from __future__ import annotations

import contextlib
import functools
import io
import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest import mock

import pytest

from courtwright.cli import main as entry

PROGRAM = Path(sys.executable).with_name("courtwright")
DEMO = Path(__file__).parents[2] / "src/courtwright/site/demo_site"

PAD = """
[[pad]]
id = "a"
outline = [[0,0],[60,0],[60,120],[0,120]]
"""


@dataclass
class Done:
    """What a command printed."""

    stdout: str
    stderr: str


def run(*arguments: object, code: int = 0) -> Done:
    """Run a command in this process, as the installed program would."""
    out, err = io.StringIO(), io.StringIO()
    with (
        mock.patch.object(sys, "argv", ["courtwright", *map(str, arguments)]),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
        pytest.raises(SystemExit) as left,
    ):
        entry.main()
    assert (left.value.code or 0) == code, (arguments, left.value.code, out.getvalue(), err.getvalue())
    return Done(out.getvalue(), err.getvalue())


def answer(*arguments: object, code: int = 0) -> dict[str, Any]:
    return json.loads(run(*arguments, "--json", code=code).stdout)


@functools.cache
def usual(command: str) -> dict[str, Any]:
    """Return what a command answers about the demo site, asked once: the same call has the same answer."""
    return answer(command, DEMO)


@pytest.fixture
def site(tmp_path: Path) -> Path:
    folder = tmp_path / "site"
    folder.mkdir()
    (folder / "site.toml").write_text(PAD, encoding="utf-8")
    return folder


def test_help_and_version() -> None:
    assert "courtwright COMMAND" in run("--help").stdout
    assert run("--version").stdout.startswith("courtwright 0.")


def test_each_command_has_help_with_an_example() -> None:
    from courtwright.cli.commands import COMMANDS

    for name in COMMANDS:
        told = run(name, "--help").stdout
        assert f"courtwright {name}" in told.split("Example", 1)[1]


def test_the_installed_program_answers_as_this_process_does() -> None:
    """One JSON document on standard output; the same from another process."""
    done = subprocess.run([PROGRAM, "price", DEMO, "--json"], capture_output=True, text=True, check=True)
    assert json.loads(done.stdout) == usual("price")


def test_an_unknown_command_is_a_wrong_call() -> None:
    assert "did you mean verdict" in run("verdikt", code=2).stderr


@pytest.mark.parametrize(
    "arguments", [("ground",), ("ground", "no-such-place"), ("ground", DEMO, "--colour"), ("index", DEMO)]
)
def test_a_wrong_call_exits_2(arguments: tuple[object, ...]) -> None:
    run(*arguments, code=2)


def test_demo_writes_a_site_and_refuses_a_folder_in_use(tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    run("demo", folder)
    assert (folder / "site.toml").read_bytes() == (DEMO / "site.toml").read_bytes()
    (folder / "site.toml").write_text("mine", encoding="utf-8")
    run("demo", folder, code=2)
    assert (folder / "site.toml").read_text(encoding="utf-8") == "mine"


def test_check_tells_what_is_known_and_lacking() -> None:
    told = answer("check", DEMO)
    assert [pad["id"] for pad in told["pads"]] == ["upper", "lower"]
    assert told["pads"][0]["marks"]["crack"] > 5
    assert told["facts"]["known"]["surface"] == {"upper": "asphalt", "lower": "asphalt"}
    assert set(told["facts"]["known"]).isdisjoint(told["facts"]["lacks"])


def test_a_site_with_an_error_is_computed_and_complained_of(site: Path) -> None:
    """Check exits 3, the others 0, and 3 with --strict."""
    (site / "marks.geojson").write_text(
        json.dumps(
            {
                "type": "FeatureCollection",
                "units": "us",
                "features": [
                    feature([[10, 10], [20, 20]], width="1/2 in"),
                    feature([[500, 500], [510, 510]], width="1/2 in"),
                    feature([[10, 30]], width="1/2 in"),
                    feature([[10, 40], [20, 40]], width="wide as a thumb"),
                ],
            }
        ),
        encoding="utf-8",
    )
    told = answer("check", site, code=3)
    errors = [c for c in told["complaints"] if c["weight"] == "error"]
    assert len(errors) == 3
    assert all(c["file"] == "marks.geojson" and c["at"] and c["says"] and c["do"] for c in errors)
    assert told["pads"][0]["marks"]["crack"] >= 1
    assert answer("ground", site)["complaints"] == told["complaints"]
    run("verdict", site, "--strict", code=3)


def feature(coordinates: list[list[float]], **properties: object) -> dict[str, Any]:
    return {
        "type": "Feature",
        "geometry": {"type": "LineString", "coordinates": coordinates},
        "properties": {"mark": "crack", "pad": "a", **properties},
    }


def test_nothing_to_compute_exits_3(tmp_path: Path) -> None:
    for content in (b"", b"not toml [", b"\xff\xfe\x00", b"[[pad]]\nid = 'x'\n"):
        (tmp_path / "site.toml").write_bytes(content)
        done = run("verdict", tmp_path, "--json", code=3)
        assert json.loads(done.stdout)["complaints"]
        assert done.stderr


def test_a_pad_nobody_walked_has_no_advice_and_says_what_to_measure(site: Path) -> None:
    (pad,) = answer("verdict", site)["pads"]
    assert pad["recommended"] is None
    assert pad["measure_next"]
    assert all(option["because"] for option in pad["options"])
    states = {option["id"]: option for option in pad["options"]}
    assert states["pulverise-and-pave"]["state"] == "open if"
    assert "surface" in states["pulverise-and-pave"]["settled_by"]


def test_every_choice_is_offered_or_told_of() -> None:
    from courtwright.verdict.judge import CHOICES

    for pad in usual("verdict")["pads"]:
        offered = {remedy for option in pad["options"] for remedy in option["remedies"]}
        apart = {entry["remedy"]: entry["says"] for entry in pad["not_considered"]}
        assert set(CHOICES) <= offered | set(apart)
        assert not offered & set(apart)
        assert all(apart.values())


def test_price_covers_what_may_be_offered() -> None:
    verdict, price = usual("verdict"), answer("price", DEMO, "--seed", 5)
    for judged, priced in zip(verdict["pads"], price["pads"], strict=True):
        may_be = [option["id"] for option in judged["options"] if option["state"] != "ruled out"]
        assert [option["id"] for option in priced["options"]] == may_be
        for option in priced["options"]:
            p = option["price"]
            assert p["p10"] < p["p50"] < p["p80"] < p["p90"]
            assert option["firm_price"] > 0


def test_own_rates_from_a_file_move_the_price_and_a_wrong_row_is_told(tmp_path: Path) -> None:
    """Twice the usual 7,250 a court; the wrong row is a complaint like any other, and a file that is none ends it."""
    file = tmp_path / "rates.csv"
    file.write_text("id;valor\nlines.resurfacing;14500\nlines.swalle;3\n", encoding="utf-8")
    before, own = usual("price"), answer("price", DEMO, "--rates", file)
    pairs = [
        (one, other)
        for pad, with_own in zip(before["pads"], own["pads"], strict=True)
        for one, other in zip(pad["options"], with_own["options"], strict=True)
    ]
    coloured = [any(q["item"] == "resurfacing" for q in one["quantities"]) for one, _ in pairs]
    assert [other["unit_rate_price"] > one["unit_rate_price"] for one, other in pairs] == coloured
    assert {True, False} == set(coloured)
    wrong = [one for one in own["complaints"] if one not in before["complaints"]]
    assert [(c["file"], c["at"], c["code"], c["weight"]) for c in wrong] == [
        ("rates.csv", "line 3", "own-rate", "error")
    ]
    run("price", DEMO, "--rates", file, "--strict", code=3)
    firm = json.loads((_offered(tmp_path, "--rates", file) / "offer.json").read_text(encoding="utf-8"))
    prices = {(pad["id"], one["id"]): one["firm_price"] for pad in own["pads"] for one in pad["options"]}
    shown = {(pad["id"], one["id"]): one["firm_price"] for pad in firm["pads"] for one in pad["options"]}
    assert shown
    assert shown.items() <= prices.items()
    file.write_bytes(b"PK\x03\x04")
    assert "save it as CSV" in run("price", DEMO, "--rates", file, code=3).stderr
    run("price", DEMO, "--rates", tmp_path / "none.csv", code=2)


def _offered(folder: Path, *arguments: object) -> Path:
    """Return the folder of an offer of the demo site."""
    run("offer", DEMO, "--out", folder / "offer", *arguments)
    return folder / "offer"


def test_sentences_come_in_spanish() -> None:
    english, spanish = usual("verdict"), answer("verdict", DEMO, "--lang", "es")
    for one, other in zip(english["pads"], spanish["pads"], strict=True):
        assert one["recommended"] == other["recommended"]
        for a, b in zip(one["options"], other["options"], strict=True):
            assert a["title"] != b["title"]
            assert "⟨" not in json.dumps(a, ensure_ascii=False) + json.dumps(b, ensure_ascii=False)


def test_offer_writes_its_files_and_replaces_them(tmp_path: Path) -> None:
    names = {"offer.pdf", "plan-upper.svg", "plan-lower.svg", "quantities.xlsx", "site.gpkg", "plan.dxf", "offer.json"}
    told = answer("offer", DEMO, "--out", tmp_path / "offer")
    assert set(told["files"]) == names
    first = {name: (tmp_path / "offer" / name).read_bytes() for name in names}
    told = answer("offer", DEMO, "--out", tmp_path / "offer", "--start", "2026-06-22")
    assert set(told["files"]) == names | {"schedule.ics"}
    assert (tmp_path / "offer/quantities.xlsx").read_bytes() == first["quantities.xlsx"]
    assert (tmp_path / "offer/offer.pdf").read_bytes() != first["offer.pdf"]  # it now tells the days


def test_what_cannot_be_written_changes_nothing(tmp_path: Path) -> None:
    """A file where the folder should be: a wrong call, and the file stays."""
    (tmp_path / "offer").write_text("mine", encoding="utf-8")
    run("offer", DEMO, "--out", tmp_path / "offer", code=2)
    assert (tmp_path / "offer").read_text(encoding="utf-8") == "mine"


def test_whoever_writes_an_offer_is_told_what_is_not_theirs_yet(tmp_path: Path) -> None:
    """The name and the rates that come with the program stand in; the one document of ``--json`` stays as it is."""
    said = run("offer", DEMO, "--out", tmp_path / "offer").stdout
    assert "trade/house.toml" in said
    assert "trade/rates/us-illustrative.toml" in said
    assert "stands in" not in (tmp_path / "offer/offer.json").read_text(encoding="utf-8")


def test_an_offer_needs_a_date(site: Path) -> None:
    assert "walked_on" in run("offer", site, "--out", site.parent / "offer", code=2).stderr


def test_index_of_a_sheet(tmp_path: Path) -> None:
    sheet = tmp_path / "unit.csv"
    sheet.write_text("distress,severity,quantity,unit\nalligator cracking,L,13,sf\nbad,L,1,sf\n", encoding="utf-8")
    told = answer("index", sheet, "--area-m2", 232.2576)
    assert told["deducts"][0]["density_pct"] == pytest.approx(0.52)
    assert len(told["complaints"]) == 1
    assert told["from_memory"]


@pytest.mark.parametrize("area", ["nan", "inf", "0", "-3", "much"])
def test_an_area_that_is_none_is_a_wrong_call(tmp_path: Path, area: str) -> None:
    sheet = tmp_path / "unit.csv"
    sheet.write_text("distress,severity,quantity,unit\n10,L,13,lf\n", encoding="utf-8")
    assert "--area-m2" in run("index", sheet, "--area-m2", area, code=2).stderr


def test_a_fault_inside_is_one_line_with_its_details_kept(monkeypatch: pytest.MonkeyPatch, capsys: Any) -> None:
    """What nobody expected becomes exit code 4; the details are in a file."""

    def broken(arguments: list[str]) -> int:
        raise RuntimeError("unforeseen")

    monkeypatch.setattr(entry, "_run", broken)
    with pytest.raises(SystemExit) as left:
        entry.main()
    assert left.value.code == 4
    line = capsys.readouterr().err
    kept = Path(line.strip().rsplit(" ", 1)[1])
    assert "unforeseen" in kept.read_text(encoding="utf-8")
    kept.unlink()

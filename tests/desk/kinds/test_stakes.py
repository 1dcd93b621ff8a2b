"""A worker's stake-out holds the files that the command writes."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import openpyxl
import pytest

from courtwright.desk.kinds.asked import StakesAsked, payload
from courtwright.desk.kinds.stakes import run
from courtwright.errors import CallError, CourtwrightError, InputError
from tests.desk.kinds.demo import BARE, demo, untold
from tests.desk.kinds.test_answer import printed


def held(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


# --- laws ---------------------------------------------------------------------------------------


def test_the_stake_out_is_what_the_command_writes(tmp_path: Path) -> None:
    """Of a site with one pad, byte for byte; the same again when it is asked again."""
    shots = "".join(f"{n},{x},{y},{100 + (x + 3 * y) / 700:.3f}\n" for n, (x, y) in enumerate(_grid(), 1))
    files = {
        "site.toml": BARE["site.toml"] + b'shots = "shots.csv"\n',
        "shots.csv": b"point,easting,northing,elevation\n" + shots.encode(),
    }
    site = tmp_path / "site"
    site.mkdir()
    for name, content in files.items():
        (site / name).write_bytes(content)
    printed(
        "regrade", site, "--slope-min", "0.5 %", "--slope-max", "2 %", "--least", "45 mm", "--out", tmp_path / "out"
    )
    asked = StakesAsked("a", slope_min=0.005, slope_max=0.02, least=0.045)
    made = held(run(payload(asked, files), untold))
    assert made == {name: (tmp_path / "out" / name).read_bytes() for name in ("stakes.xlsx", "stakes.dxf")}
    assert held(run(payload(asked, files), untold)) == made


def _grid() -> list[tuple[int, int]]:
    return [(x, y) for x in range(0, 61, 10) for y in range(0, 121, 10)]


def test_only_the_pad_that_is_asked_for_is_staked() -> None:
    """Of the two of the demo."""
    book = held(run(payload(StakesAsked("lower"), demo()), untold))["stakes.xlsx"]
    assert openpyxl.load_workbook(io.BytesIO(book)).sheetnames == ["lower"]


# --- refusals -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("asked", "error", "code"),
    [
        (StakesAsked("nowhere"), InputError, "desk.nothing-to-stake"),
        (StakesAsked("a"), InputError, "desk.nothing-to-stake"),
        (StakesAsked("a", slope_min=0.02, slope_max=0.01), InputError, "regrade.steeper-least"),
        (StakesAsked("a", points=[[900.0, 900.0]]), CallError, "regrade.off-the-pad"),
    ],
)
def test_what_cannot_be_staked_is_told(asked: StakesAsked, error: type[CourtwrightError], code: str) -> None:
    """No such pad, no heights, slopes the wrong way round, a point beside the pad."""
    with pytest.raises(error) as told:
        run(payload(asked, BARE), untold)
    assert told.value.problem.id == code

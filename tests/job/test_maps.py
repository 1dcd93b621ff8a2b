"""Heights as a phone gets them: read back, they are those that were packed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from courtwright.ground.heights import heights
from courtwright.ground.regrade.nodes import ground_of
from courtwright.ground.regrade.plane import Ground
from courtwright.job.answers.documents import document_text
from courtwright.job.answers.maps import STEP, maps_document
from courtwright.job.answers.plain import Reader
from courtwright.site.files import HeldFiles
from courtwright.site.folder import read_files
from courtwright.site.record import SiteRecord
from tests.desk.kinds.demo import BARE, demo


def unpacked(pad: dict[str, Any]) -> Ground:
    """Return the places that an answer holds, as the client reads them."""
    grid = pad["heights"]
    x, y, z = [], [], []
    for run in grid["runs"]:
        change = height = 0
        for i, bend in enumerate(map(int, run["bends"].split())):
            height, change = (bend, 0) if i == 0 else (height + change + bend, change + bend)
            x.append(grid["x0_m"] + grid["cell_m"] * (run["col"] + i))
            y.append(grid["y0_m"] + grid["cell_m"] * run["row"])
            z.append(grid["base_m"] + height * grid["step_mm"] / 1000)
    area = np.full(len(z), grid["area_m2"])
    area[[int(node) for node in grid["cut_nodes"].split()]] = [int(one) * 1e-6 for one in grid["cut_mm2"].split()]
    edge = {name: np.array([int(one) for one in line.split()]) for name, line in pad["edge"].items()}
    return Ground(
        np.concatenate([x, edge["x_steps"] * grid["step_mm"] / 1000]),
        np.concatenate([y, edge["y_steps"] * grid["step_mm"] / 1000]),
        np.concatenate([z, grid["base_m"] + edge["z_steps"] * grid["step_mm"] / 1000]),
        np.concatenate([area, np.zeros(len(edge["z_steps"]))]),
    )


@pytest.fixture(scope="module")
def site() -> SiteRecord:
    return read_files(HeldFiles(demo()), "demo")


@pytest.fixture(scope="module")
def answer(site: SiteRecord) -> dict[str, Any]:
    return maps_document(site, Reader())


# --- laws ---------------------------------------------------------------------------------------


def test_what_is_unpacked_is_what_was_packed(site: SiteRecord, answer: dict[str, Any]) -> None:
    """Every node and every place of the edge, to half a step and what rounds a number, and all of the area."""
    for pad, told in zip(site.pads, answer["pads"], strict=True):
        found, _ = heights(pad)
        assert found is not None
        ours, theirs = ground_of(found, pad.outline), unpacked(told)
        np.testing.assert_allclose(theirs.z, ours.z, atol=STEP / 2 + 1e-6)
        np.testing.assert_allclose(theirs.x, ours.x, atol=STEP * 10)
        np.testing.assert_allclose(theirs.y, ours.y, atol=STEP * 10)
        np.testing.assert_allclose(theirs.area, ours.area, atol=1e-6)
        assert theirs.area.sum() == pytest.approx(pad.outline.area, abs=1e-3)


def test_it_is_small_enough_for_a_phone(answer: dict[str, Any]) -> None:
    """Both pads of the demo, over 49,000 nodes together, as they go over the wire."""
    assert sum(len(run["bends"].split()) for pad in answer["pads"] for run in pad["heights"]["runs"]) > 48_000
    assert len(document_text(answer).encode()) < 200_000


def test_what_holds_a_surface_is_named(answer: dict[str, Any]) -> None:
    """The gate of the lower pad, a quarter of an inch up and down: 12.7 mm between."""
    (gate,) = answer["pads"][1]["held"]
    assert gate["kind"] == "gate"
    assert gate["high_m"] - gate["low_m"] == pytest.approx(0.0127, abs=1e-5)


def test_a_pad_without_shots_has_no_heights() -> None:
    """And says nothing else."""
    (pad,) = maps_document(read_files(HeldFiles(BARE), "bare"), Reader())["pads"]
    assert pad == {"id": "a", "heights": None, "edge": None, "held": [], "strips": None, "notes": []}

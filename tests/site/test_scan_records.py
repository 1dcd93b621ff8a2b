"""The records of LAS read as they lie, against laspy; compressed and not; medians of cells and steps against numpy."""

from __future__ import annotations

import io
from dataclasses import replace

import laspy
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box

from courtwright.site import scans
from courtwright.site.complaints import Complaints
from courtwright.site.formats.las import Scan, open_scan
from courtwright.site.kernels.medians import robust_means, square_medians

#: Every format of points that a court's scan comes in, with extra bytes that shift the records after it.
FORMATS = [("1.2", 0), ("1.2", 1), ("1.2", 3), ("1.4", 6), ("1.4", 7)]


def cloud(version: str, point_format: int, points: int, is_packed: bool) -> io.BytesIO:
    """Return a file with heights of a plane, every class and withheld points among them."""
    chance = np.random.default_rng(point_format)
    header = laspy.LasHeader(version=version, point_format=point_format)
    header.scales, header.offsets = np.full(3, 1e-4), np.array([1.0, 2.0, 3.0])
    header.add_extra_dim(laspy.ExtraBytesParams(name="sure", type=np.uint8))
    data = laspy.LasData(header)
    data.x, data.y = chance.uniform(0, 6, points), chance.uniform(0, 6, points)
    data.z = 50 + 0.01 * np.asarray(data.x) + chance.normal(0, 0.002, points)
    classes = np.where(chance.random(points) < 0.5, 2, chance.integers(0, 32, points))
    data.classification = classes.astype(np.uint8)
    data.withheld = chance.integers(0, 8, points) == 0
    data.synthetic = chance.integers(0, 2, points)
    data.sure = chance.integers(0, 256, points).astype(np.uint8)
    file = io.BytesIO()
    data.write(file, do_compress=is_packed)
    return file


def opened(file: io.BytesIO) -> Scan:
    scan = open_scan(file, "scan", "metric", Complaints())
    assert scan is not None
    return scan


@pytest.mark.parametrize("is_packed", [False, True])
@pytest.mark.parametrize(("version", "point_format"), FORMATS)
def test_places_and_what_counts_are_those_of_laspy(version: str, point_format: int, is_packed: bool):
    """Over more points than are read at once: noise and withheld ones left out, ground known."""
    file = cloud(version, point_format, 150_000, is_packed)
    scan = opened(file)
    assert scan.is_packed == is_packed
    xyz, ground = (np.concatenate(parts) for parts in zip(*scan.parts(), strict=True))
    file.seek(0)
    theirs = laspy.read(file, closefd=False)
    classes = np.asarray(theirs.classification)
    counts = ~np.isin(classes, (7, 18)) & ~np.asarray(theirs.withheld, dtype=bool)
    assert 0 < counts.sum() < len(classes)
    assert xyz == pytest.approx(theirs.xyz[counts], abs=1e-9)
    assert (ground == (classes[counts] == 2)).all()


def test_a_compressed_scan_is_held_or_decoded_twice_to_the_same_heights(monkeypatch: pytest.MonkeyPatch):
    """As the same scan that is not compressed."""
    outline = box(0, 0, 6, 6)
    found = []
    for is_packed, most in ((False, 60_000_000), (True, 60_000_000), (True, 10)):
        monkeypatch.setattr(scans, "MOST_KEPT", most)
        scan = opened(cloud("1.4", 6, 150_000, is_packed))
        points = scans.scanned(scan, None, outline, "scan", Complaints())
        assert points is not None
        found.append(points.xyz)
    assert len(found[0]) > 1000
    for other in found[1:]:
        assert np.array_equal(found[0], other)


def test_a_file_that_ends_early_yields_what_is_there():
    """Its length is looked at when it is opened; one that shrinks afterwards ends the reading."""
    file = cloud("1.2", 0, 1000, False)
    scan = opened(file)
    length = len(file.getvalue())
    short = replace(scan, handle=io.BytesIO(file.getvalue()[: length - 21 * 400 - 5]))
    assert sum(len(kind) for _, kind, _ in short.raw()) == 599


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 7))
def test_squares_have_the_median_of_their_known_cells(seed: int, times: int):
    """Cut ones at the edge, and ones of which nothing is known."""
    chance = np.random.default_rng(seed)
    rows, cols = chance.integers(1, 25, 2)
    lowest = np.where(chance.random((rows, cols)) < 0.5, chance.normal(0, 1, (rows, cols)), np.inf)
    ground = np.empty((-(-rows // times), -(-cols // times)))
    square_medians(lowest, times, ground)
    for (row, col), ours in np.ndenumerate(ground):
        cells = lowest[row * times : (row + 1) * times, col * times : (col + 1) * times]
        known = cells[np.isfinite(cells)]
        assert ours == pytest.approx(np.median(known) if len(known) else np.nan, nan_ok=True)


@settings(max_examples=50, deadline=None)
@given(st.integers(0, 10_000))
def test_means_are_those_of_what_lies_near_the_median_step(seed: int):
    """Written out with numpy for heights that are whole steps, so that steps and heights are one."""
    chance, step = np.random.default_rng(seed), 0.001
    heights = np.clip(np.round(chance.normal(0, chance.choice([1, 6, 15]), int(chance.integers(1, 60)))), -50, 50)
    count = np.bincount((heights + 50).astype(int), minlength=101).astype(np.int32)[None]
    total = count * (np.arange(101) - 50) * step
    above = np.empty(1)
    robust_means(count, total, step, 3 * 1.4826, 0.002, above)
    middle = np.sort(heights)[(len(heights) - 1) // 2]
    deviation = np.sort(np.abs(heights - middle))[(len(heights) - 1) // 2]
    near = np.abs(heights - middle) <= max(3 * 1.4826 * deviation, 2) + 1e-6
    assert above[0] == pytest.approx(heights[near].mean() * step, abs=1e-12)

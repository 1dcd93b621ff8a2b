"""Heights, water, flatness and falls against independent libraries and closed forms."""

import itertools
import math

import numpy as np
import pytest
from numpy.typing import NDArray
from pykrige.uk import UniversalKriging
from shapely import Polygon, box
from skimage.morphology import reconstruction

from courtwright.ground import read_pad
from courtwright.ground.covariance import Covariance
from courtwright.ground.filling import filled
from courtwright.ground.flatness import largest_gaps
from courtwright.ground.heights import Surface
from courtwright.ground.ponds import ponds
from courtwright.site.record import Court, Pad, Shots
from courtwright.trade.load import tolerances

Array = NDArray[np.float64]
FT, INCH, SF = 0.3048, 0.0254, 0.3048**2

# --- kriging ------------------------------------------------------------------------------------

#: Six shots of a pad's corner and what pykrige is asked for between them and beyond. [m]
SHOTS = np.array([(0, 0, 0.10), (9, 1, 0.18), (2, 7, 0.16), (8, 8, 0.21), (5, 3, 0.13), (4, 9, 0.19)], dtype=float)
PLACES = np.array([(1.0, 1.0), (5.0, 5.0), (5.0, 3.1), (11.0, 4.0)])
KNOWN = Covariance(sill=0.008**2, reach=3.0, nugget=0.002**2)


def _matern(parameters: list[float], distance: Array) -> Array:
    """Return the variogram of Matérn's covariance of smoothness 3/2, as pykrige takes one."""
    sill, reach, nugget = parameters
    scaled = math.sqrt(3) * distance / reach
    return nugget + sill * (1 - (1 + scaled) * np.exp(-scaled))


@pytest.mark.reference("pykrige-universal")
def test_kriging_on_shared_parameters():
    """Heights and variances, between the shots and beyond them, to a millionth of a millimetre and of its square."""
    # In millimetres, as pykrige takes anything under its tolerance for nothing.
    peer = UniversalKriging(
        SHOTS[:, 0], SHOTS[:, 1], SHOTS[:, 2] * 1000, variogram_model="custom", variogram_function=_matern,
        variogram_parameters=[64.0, 3.0, 4.0], drift_terms=["regional_linear"], exact_values=False,
    )  # fmt: skip
    height, variance = (np.asarray(v) for v in peer.execute("points", PLACES[:, 0], PLACES[:, 1]))
    surface = Surface.through(SHOTS, KNOWN)
    for ours, theirs in zip(surface.height(PLACES) * 1000, height, strict=True):
        assert ours == pytest.approx(theirs, abs=1e-6)
    # Theirs is the variance of another shot, so that its nugget of 4 mm² comes on top of ours.
    for ours, theirs in zip(surface.variance(PLACES) * 1e6 + 4.0, variance, strict=True):
        assert ours == pytest.approx(theirs, abs=1e-6)


@pytest.mark.reference("kriging-unit-square")
def test_the_middle_of_a_square():
    """Corners of 3, 5, 7 and 13 make 7 in the middle, each by a quarter, whatever the covariance."""
    corners = np.array([(0, 0, 3), (1, 0, 5), (0, 1, 7), (1, 1, 13)], dtype=float)
    sill, reach, nugget = 2.0, 1.5, 0.1
    surface = Surface.through(corners, Covariance(sill, reach, nugget))
    middle = np.array([(0.5, 0.5)])
    assert surface.height(middle)[0] == pytest.approx(7.0, abs=1e-9)
    # Σλ = 1 with λ = 1/4: c(0) - 2 c(√½) + (c(0) + 2 c(1) + c(√2)) / 4 + nugget / 4.
    to_corner, side, diagonal = (sill - _matern([sill, reach, 0.0], np.array(d)) for d in (math.sqrt(0.5), 1, 2**0.5))
    by_hand = sill - 2 * to_corner + (sill + 2 * side + diagonal + nugget) / 4
    assert surface.variance(middle)[0] == pytest.approx(float(by_hand), rel=1e-9)


# --- water --------------------------------------------------------------------------------------


def _tilted_bowl(slope: float, cell: float) -> Array:
    """Return a bowl 10 ft wide and 3/8 in deep in a plane that falls along its diagonal, in inches."""
    depth, radius = 3 / 8, 60.0
    x = np.arange(-68, 68 + cell, cell)
    away = x[None, :] ** 2 + x[:, None] ** 2
    fall = slope * (x[None, :] + x[:, None]) / math.sqrt(2)
    return fall - np.where(away < radius**2, depth * (1 - away / radius**2), 0.0)


def _by_reconstruction(height: Array) -> Array:
    ground = np.pad(height, 1, constant_values=height.min() - 1)
    seed = np.pad(np.full(height.shape, height.max()), 1, constant_values=height.min() - 1)
    return np.asarray(reconstruction(seed, ground, method="erosion", footprint=np.ones((3, 3))))[1:-1, 1:-1]


@pytest.mark.reference("skimage-reconstruction")
@pytest.mark.parametrize("slope", [0.0, 0.005, 1 / 120, 0.01, 0.0125])
def test_water_stands_as_an_independent_library_has_it(slope: float):
    """Every level of a tilted bowl, bit for bit."""
    height = _tilted_bowl(slope, 1.0)
    assert np.array_equal(filled(height).level, _by_reconstruction(height))


@pytest.mark.reference("bowl-in-a-plane")
@pytest.mark.parametrize(
    ("slope", "depth", "volume"),
    [
        (0.0, 0.37500, 2120.575),
        (0.005, 0.13500, 274.827),
        (1 / 120, 0.041667, 26.180),
        (0.01, 0.01500, 3.393),
        (0.0125, 0.0, 0.0),
    ],
)
def test_a_tilted_bowl_holds_what_the_closed_form_says(slope: float, depth: float, volume: float):
    """Whichever way the plane falls; volumes as closely as the libraries' half-inch cells came to them."""
    x = np.arange(-62, 62.5, 0.5)
    away = x[None, :] ** 2 + x[:, None] ** 2
    bowl = slope * x[None, :] - np.where(away < 3600, 3 / 8 * (1 - away / 3600), 0.0)
    for quarters in range(4):
        height = np.ascontiguousarray(np.rot90(bowl, quarters))
        water = filled(height).level - height
        # At 1:120 and 1 % the deepest point is a node; at 0.5 % too: it lies 0.5 % · 60² / (2 · 3/8) = 24 in off.
        assert float(water.max()) == pytest.approx(depth, abs=5e-6)
        assert float(water.sum()) * 0.5**2 == pytest.approx(volume, abs=0.0025)


@pytest.mark.reference("bowl-in-a-plane")
def test_the_slope_at_which_a_bowl_passes_the_coin():
    """Halving between 0.5 and 1 % finds 0.68442 %: beyond it the same hole's water no longer covers 1.95 mm."""

    def is_birdbath(slope: float) -> bool:
        x = np.arange(-61, 62, dtype=float)
        away = x[None, :] ** 2 + x[:, None] ** 2
        height = slope * x[None, :] - np.where(away < 3600, 3 / 8 * (1 - away / 3600), 0.0)
        return bool(ponds(height, filled(height)).depth[0] * INCH > tolerances().water_test)

    low, high = 0.005, 0.01
    assert (is_birdbath(low), is_birdbath(high)) == (True, False)
    while high - low > 1e-7:
        middle = (low + high) / 2
        low, high = (middle, high) if is_birdbath(middle) else (low, middle)
    # Nodes an inch apart miss the deepest point by up to half an inch: 0.375 (0.5 / 60)² = 0.000026 in, and depth
    # changes by 60 √(t/d) = 27 in for a slope of 1, so that the slope is good to 0.0001 %.
    assert low * 100 == pytest.approx(0.68442, abs=1e-4)


# --- flatness and falls -------------------------------------------------------------------------


@pytest.mark.reference("straightedge-closed-forms")
@pytest.mark.parametrize(
    ("wavelength", "gap", "passes"), [(10, 0.2500, False), (20, 0.1250, True), (40, 0.03661, True)]
)
def test_an_eighth_inch_ripple_on_a_court_that_falls(wavelength: float, gap: float, passes: bool):
    """The plane of 1 % changes no gap; the ripple fails at 10 ft, is just at the limit at 20 ft, passes at 40 ft."""
    cell = FT / 2
    x = np.arange(0, 2 * wavelength * FT + cell / 2, cell)
    ripple = INCH / 8 * np.cos(2 * math.pi * x / (wavelength * FT))
    height = np.tile(ripple + 0.01 * x, (5, 1)) + 0.004 * cell * np.arange(5)[:, None]
    found = largest_gaps(height, cell, 10 * FT)
    assert found is not None
    assert found.greatest / INCH == pytest.approx(gap, abs=5e-5)
    assert (found.greatest <= tolerances().straightedge_gap + 1e-9) is passes


@pytest.mark.reference("corner-to-corner-fall")
def test_a_pad_that_falls_from_corner_to_corner():
    """0.5893 % each way is a fall of 0.8333 % towards north-east."""
    size = (60 * FT, 120 * FT)
    x, y = (
        np.array(v)
        for v in zip(*itertools.product(np.linspace(0, size[0], 9), np.linspace(0, size[1], 17)), strict=True)
    )
    shots = Shots(np.column_stack([x, y, 1.0 - 0.005893 * (x + y)]))
    pad = Pad("p", box(0, 0, *size), courts=(Court("1", "tennis", (size[0] / 2, size[1] / 2)),), shots=shots)
    (court,) = read_pad(pad).courts
    assert court.slope * 100 == pytest.approx(0.8333, abs=0.0001)
    assert math.degrees(court.bearing) == pytest.approx(45, abs=0.01)


@pytest.mark.reference("l-shaped-pad")
def test_the_area_of_an_l_shaped_pad():
    """62 by 122 ft less 31 by 22 ft: 6,882 sf, and 368 lf round it."""
    feet = [(0, 0), (62, 0), (62, 122), (31, 122), (31, 100), (0, 100)]
    pad = Pad("l", Polygon([(x * FT, y * FT) for x, y in feet]))
    assert read_pad(pad).area / SF == pytest.approx(6882, abs=5e-6)
    assert pad.outline.length / FT == pytest.approx(368, abs=5e-7)

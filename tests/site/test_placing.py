"""How far a mark may lie off its pad."""

import pytest
from shapely import LineString, Point, box

from courtwright.site.placing import Placer

PLACER = Placer(box(0, 0, 10, 10))


@pytest.mark.parametrize(("beyond", "how"), [(0.14, "whole"), (0.16, "clipped")])
def test_a_crack_may_overshoot_the_outline_by_six_inches(beyond: float, how: str):
    """Both were measured by hand: up to 0.15 m it is kept as drawn, beyond it is cut at the outline."""
    found = PLACER.placed(LineString([(2, 5), (10 + beyond, 5)]), "on")
    assert found.how == how
    assert found.parts[0].length == pytest.approx(8 + beyond if how == "whole" else 8.0)


@pytest.mark.parametrize(("away", "how"), [(0.9, "whole"), (1.1, "off")])
def test_an_edge_mark_lies_within_a_metre_of_the_outline(away: float, how: str):
    """Inside or outside."""
    for x in (10 + away, 10 - away):
        assert PLACER.placed(LineString([(x, 2), (x, 8)]), "along").how == how


@pytest.mark.parametrize(("away", "how"), [(99.0, "whole"), (101.0, "far")])
def test_what_stands_beside_a_pad_is_asked_about_from_a_hundred_metres_on(away: float, how: str):
    """It is kept all the same."""
    found = PLACER.placed(Point(10 + away, 5), "anywhere")
    assert (found.how, len(found.parts)) == (how, 1)

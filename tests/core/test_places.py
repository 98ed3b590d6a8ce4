"""How large is a place?"""

from __future__ import annotations

import pytest

from underboard.core.places import PlaceArea, outline_area_m2, place_area


def test_an_outline_encloses_the_same_whichever_way_it_is_drawn() -> None:
    # a rectangle of 4 m by 1.2 m with a corner of 1 m by 0.2 m cut out: 4.8 − 0.2
    corners = [(0.0, 0.0), (4.0, 0.0), (4.0, 1.0), (3.0, 1.0), (3.0, 1.2), (0.0, 1.2)]
    assert outline_area_m2(corners) == pytest.approx(4.6)
    assert outline_area_m2(corners[::-1]) == pytest.approx(4.6)
    assert outline_area_m2(corners[:2]) == 0


def test_what_was_measured_wins_over_the_sketch_and_the_sketch_over_length_and_width() -> None:
    sketch = [(0.0, 0.0), (2.0, 0.0), (2.0, 1.0), (0.0, 1.0)]
    assert place_area(area_m2=3, outline=sketch, length_m=5, width_m=1) == PlaceArea(3.0, "measured")
    assert place_area(outline=sketch, length_m=5, width_m=1) == PlaceArea(2.0, "outline")
    assert place_area(outline=[(0.0, 0.0)], length_m=5, width_m=1.2) == PlaceArea(6.0, "length_and_width")
    assert place_area(length_m=5) is None

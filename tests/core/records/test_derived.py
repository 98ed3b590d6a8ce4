"""What follows from a record by itself."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from underboard.core.records.derived import reading_flaws, trap_validity

SET = datetime(2026, 4, 1, 18, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("days", "soil_c", "valid", "flaws"),
    [
        # 10 to 14 days: Farm Advisory Service / Plant Health Centre Scotland PHC2024/04 (April 2025);
        # soil above 8 °C: Furlan (2014), Journal of Pest Science 87, 609-617.
        (10, 9.0, True, ()),
        (14, 8.1, True, ()),
        (12, 8.0, False, ("too_cold",)),
        (9, 9.0, False, ("too_short",)),
        (16, 9.0, False, ("too_long",)),
        (16, 4.0, False, ("too_long", "too_cold")),
        (12, None, None, ("soil_unknown",)),
        (None, 9.0, None, ("set_unknown",)),
        (None, 5.0, False, ("set_unknown", "too_cold")),
    ],
)
def test_a_bait_trap_speaks_after_ten_to_fourteen_days_in_warm_soil(
    days: int | None, soil_c: float | None, valid: bool | None, flaws: tuple[str, ...]
) -> None:
    lifted = SET + timedelta(days=days or 12)
    found = trap_validity(set_at=None if days is None else SET, lifted_at=lifted, soil_c=soil_c)
    assert (found.valid, found.flaws) == (valid, flaws)


def test_set_in_the_evening_and_lifted_ten_days_later_in_the_morning_is_ten_days() -> None:
    lifted = datetime(2026, 4, 11, 7, 0, tzinfo=UTC)
    assert trap_validity(set_at=SET, lifted_at=lifted, soil_c=9).valid is True


def test_a_spoiled_trap_says_nothing() -> None:
    found = trap_validity(set_at=SET, lifted_at=SET + timedelta(days=12), soil_c=9, state="spoiled")
    assert (found.valid, found.flaws) == (False, ("not_counted",))


@pytest.mark.parametrize(
    ("shown", "flaws"),
    [
        ({"current_c": 4.0, "max_c": 9.0, "min_c": -2.0}, ()),
        ({"current_c": 9.5, "max_c": 9.0}, ()),  # the two scales of one thermometer differ a little
        ({"current_c": 12.0, "max_c": 9.0}, ("current_above_max",)),
        ({"current_c": -4.0, "min_c": -2.0}, ("current_below_min",)),
        ({"max_c": -2.0, "min_c": 9.0}, ("max_below_min",)),
        ({"min_c": -52.0}, ("out_of_range",)),
        ({"current_c": 50.0}, ()),
        ({"current_c": 50.0, "soil": True}, ("out_of_range",)),
        ({}, ()),
    ],
)
def test_a_doubtful_reading_is_told(shown: dict[str, float], flaws: tuple[str, ...]) -> None:
    assert reading_flaws(**shown) == flaws  # type: ignore[arg-type]

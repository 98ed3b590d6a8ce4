"""Every rule, in the order in which people read them."""

from __future__ import annotations

from underboard.core.warnings.rules import (
    backup_old,
    blight,
    certificate_ending,
    evening_reading,
    frost,
    ground_frost,
    heat,
    nematode_window,
    phone_not_synced,
    plant_out,
    reading_implausible,
    round_missed,
    soil_window,
    surge,
    threshold,
    trap_not_valid,
    traps_due,
    treatment_scored,
    wireworm,
)
from underboard.core.warnings.terms import Rule

ALL: tuple[Rule, ...] = (
    frost.RULE,
    ground_frost.RULE,
    evening_reading.RULE,
    heat.RULE,
    surge.RULE,
    threshold.RULE,
    wireworm.RULE,
    traps_due.RULE,
    trap_not_valid.RULE,
    soil_window.RULE,
    plant_out.RULE,
    nematode_window.RULE,
    treatment_scored.RULE,
    blight.RULE,
    round_missed.RULE,
    reading_implausible.RULE,
    phone_not_synced.RULE,
    backup_old.RULE,
    certificate_ending.RULE,
)

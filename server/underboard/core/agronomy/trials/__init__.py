"""Treated against untreated: effects with their intervals."""

CALCULATIONS: dict[str, str] = {
    "efficacy": "efficacy",
    "compare": "compare",
    "permutation-test": "permutation_test",
    "trial-power": "trial_power",
    "trial-effect": "trial_effect",
}

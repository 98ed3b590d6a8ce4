"""How good forecasts and warnings were, and when acting pays."""

CALCULATIONS: dict[str, str] = {
    "verify": "verify",
    "brier": "brier",
    "cost-loss": "cost_loss",
}

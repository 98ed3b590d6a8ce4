"""How good forecasts and warnings were, and when acting pays."""

CALCULATIONS: dict[str, str] = {
    "cost-loss": "cost_loss",
}

"""Heat sums, soil warmth and what grows by them."""

CALCULATIONS: dict[str, str] = {
    "degree-days": "degree_days",
    "p-days": "p_days",
    "soil-window": "soil_window",
    "emergence": "emergence",
    "heat-forecast": "heat_forecast",
    "days-gained": "days_gained",
    "blight-days": "blight_days",
}

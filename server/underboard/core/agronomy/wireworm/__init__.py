"""Wireworm: finds to densities, and what a nil result is worth."""

CALCULATIONS: dict[str, str] = {
    "density": "density",
    "trap-thumb": "trap_thumb",
    "miss-chance": "miss_chance",
    "detection-plan": "detection_plan",
}

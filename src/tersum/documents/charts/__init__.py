"""Charts: Vega-Lite definitions from result dataclasses, and the pictures drawn from them."""

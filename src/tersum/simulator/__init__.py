"""A known truth to test the decisions with."""

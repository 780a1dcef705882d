"""From evidence cases to the evidence functions."""

"""Check values that others have published, run through Tersum's public functions."""

"""One file for each noun that has a page."""

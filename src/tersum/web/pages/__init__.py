"""One file for each noun that has a page: what shows it, and what takes its form."""

"""The migrations that this program knows, oldest first; their number is kept in the header of each database too."""

REVISIONS = ("0001",)

"""The command line: it parses, calls and shows; it does no arithmetic."""

"""Solutions: strength, dilution and its uncertainty."""

"""One file for each form: what was typed, what it means, and one sentence for each fault."""

"""The job: plan, mixing, what was carried out, decision and ending, composed from the sciences."""

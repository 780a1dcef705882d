"""What is kept: facts, their chain, projections, intake and export."""

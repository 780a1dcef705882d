"""What readings show: reduction, repeatability, conformity with a limit, and how sure that is."""

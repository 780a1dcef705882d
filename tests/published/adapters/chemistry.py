"""From chemistry cases to the chemistry functions."""

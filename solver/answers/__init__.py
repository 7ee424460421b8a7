"""What a maker asks of the solver, each in one call."""

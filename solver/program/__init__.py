"""A linear program, the solvers that are asked, and what they can say."""

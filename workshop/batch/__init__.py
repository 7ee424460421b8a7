"""The sheet for the bench: weights, temperatures, portions, costs."""

"""The least cost at every ionic strength that the model is trusted for: a search over cells."""

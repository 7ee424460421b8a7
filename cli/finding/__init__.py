"""How a composition, its limits and its proof are shown."""

"""The cheapest composition that keeps every rule, and what its limits cost."""

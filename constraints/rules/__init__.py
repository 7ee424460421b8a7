"""What must hold: one module a kind of rule, the rows they become and how they are judged."""

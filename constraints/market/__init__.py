"""What the law and the practice of the trade add: limits, names, allergens, cautions."""

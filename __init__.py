"""barwright: the cheapest composition of a solid shampoo bar that keeps every rule of the trade."""

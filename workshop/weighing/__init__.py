"""From shares to whole steps of the balances that are there."""

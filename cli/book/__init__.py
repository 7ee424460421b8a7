"""``barwright book``: the batches that were made, their lots, and the stock they took."""

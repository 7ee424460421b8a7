"""The same question over many prices and shelves, asked of one warm solver."""

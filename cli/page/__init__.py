"""``barwright page``: a bench or a whole workshop as linked pages in a folder."""

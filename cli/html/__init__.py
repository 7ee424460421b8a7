"""Pages of HTML: what stands on one, and the templates that it is written with."""

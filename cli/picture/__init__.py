"""Pictures of an answer, a file for each kind, drawn in the colours of the page around them."""

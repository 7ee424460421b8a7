"""A batch as it is shown and printed: what goes in when, how warm, and what it yields."""

"""From a composition to bars: whole scale steps, temperatures, fill weight, box."""

"""Before and after: a material replaced, an old one used up, formulas held side by side."""

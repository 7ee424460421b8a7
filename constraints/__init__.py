"""What must hold: the trade's rules, its materials and its limits, in trade words.

This layer knows no solver and no screen. It turns files into objects, rules into rows, and judges a
composition against the rules.
"""

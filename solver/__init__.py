"""What is best and why: rows in, findings out, in the words of linear programming."""

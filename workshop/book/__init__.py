"""What the book of batches tells: which lots are where, and how a workshop presses and dries."""

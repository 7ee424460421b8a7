"""What each limit and each price is worth on each side, exactly, from one factorised basis."""

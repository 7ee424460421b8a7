"""How it is shown: reads, calls, renders, exits; decides nothing."""

"""What happened at the bench: events, their file, and what follows from them."""

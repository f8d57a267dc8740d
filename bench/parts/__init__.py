"""What is printed on a part and what it is worth."""

"""What every front end shows and asks: commands, forms, text, blocks, cards, drawings."""

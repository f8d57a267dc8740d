"""What a part can be: by its bands, its marking or a meter's reading, matched to the kit."""

"""What can be printed for the bench: as data, pure; templates of `writeup/templates/` draw it.

All texts of people come out of here on one line each and without characters that nobody sees.
"""

"""Judged designs -> pictures, cards, colours and words to look at."""

"""What the pages and the terminal share: the demo, pictures of a design, its card, new shelf items.

It carries nouns from room to room and holds no figure and no formula of its own.
"""

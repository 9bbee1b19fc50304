"""What she types or photographs -> nouns of her shelf; every answer at once, in words."""

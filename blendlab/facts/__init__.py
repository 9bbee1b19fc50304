"""What the world says: csv rows with unit, source, source kind and checked_on; readers."""

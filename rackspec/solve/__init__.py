"""5. Search over racks: what could be put where, and what comes of it."""

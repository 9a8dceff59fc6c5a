"""The case around the rows: in: a rack, out: findings about its inside width and the holes in its side pieces."""

"""Rails too near or too far: in: a rack, out: findings on the distance of its thread lines, planned or as drilled."""

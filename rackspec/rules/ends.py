"""Ends of rails: in: a rack, out: findings about the screws into them, and about nuts that enter there."""

"""What is kept from one run to the next: never another answer than without it."""

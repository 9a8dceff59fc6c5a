"""3. Numbers to margins: pure formulas and the searches that rules need, each with its source."""

"""How fast: ``python -m tests.bench`` builds a wheel, and prints ratios that were measured side by side in one run."""

"""Life in a git repository, with real git."""

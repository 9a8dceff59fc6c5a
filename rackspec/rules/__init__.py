"""4. Rack and margins to findings: one file a subject, one function a rule; ``registry.RULES`` is the list of all."""

"""6. Results to text, JSON and pages. Lines and columns are made here and nowhere else."""

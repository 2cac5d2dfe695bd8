"""The practice jobs, in closed form."""

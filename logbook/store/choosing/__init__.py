"""Plans: limits by name, projects, running orders, and what the book holds of an object."""

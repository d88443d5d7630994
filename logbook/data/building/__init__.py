"""The script that builds the shipped tables, a module each source. For development only."""

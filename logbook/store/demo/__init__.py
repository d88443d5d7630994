"""The demo season: readable text in `sample_db/`, built into a book of its own."""

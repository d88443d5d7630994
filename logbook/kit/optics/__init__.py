"""Formulas by topic, each with its source and units. They know no train and no part."""

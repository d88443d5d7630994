"""The pages of looking back: what each one loads, and the document it makes of that."""

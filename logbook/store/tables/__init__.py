"""The tables as models, and values to rows and back."""

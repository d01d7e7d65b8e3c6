"""The pages: a thin face over the use cases."""

"""Use cases: one function per thing a user does."""

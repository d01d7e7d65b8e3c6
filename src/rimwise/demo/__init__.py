"""The invented scenario: discs, a course, two seasons and a player that do not exist."""

"""What is believed about the arm and about every disc, and why."""

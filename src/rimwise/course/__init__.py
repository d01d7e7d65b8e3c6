"""Courses ask: geometry in metres, and maps and tables turned into holes."""

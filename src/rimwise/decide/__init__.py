"""Decisions choose: lines, landing clouds, strokes-to-finish, the carry and its reasons."""

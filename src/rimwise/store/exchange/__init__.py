"""Texts in and out: tables, lines and JSON become records or named problems, and back."""

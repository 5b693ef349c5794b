"""Blank recipe books, and the script that builds them."""

"""Invented recipe books, the commands to run on them, and what comes out."""

"""Amounts as people type them."""

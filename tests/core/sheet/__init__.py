"""Sheets: what stands on them."""

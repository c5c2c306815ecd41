"""Sheets for printing: what they say. The browser prints them, from the page's own print styles."""

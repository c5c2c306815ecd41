"""A planned start on the page: its form, its picture, its words."""

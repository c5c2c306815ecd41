"""Experiments on the page: what is asked, shown and said of them."""
